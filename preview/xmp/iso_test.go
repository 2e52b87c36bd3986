package xmp

import (
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// packet wraps rdf:Description elements; the prefixes below are bound.
func packet(inner string) string {
	return `<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"
 xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/"
 xmlns:xmpTPg="http://ns.adobe.com/xap/1.0/t/pg/" xmlns:stDim="http://ns.adobe.com/xap/1.0/sType/Dimensions#">
` + inner + `
</rdf:RDF></x:xmpmeta>`
}

func mustParse(t rapid.TB, s string) *Doc {
	t.Helper()
	d, err := Parse([]byte(s))
	if err != nil {
		t.Fatalf("%v\n%s", err, s)
	}
	return d
}

// TestSubjectExample is the worked example of ISO 16684-1 §7.7.
func TestSubjectExample(t *testing.T) {
	d := mustParse(t, packet(`<rdf:Description rdf:about="">
 <dc:subject>
  <rdf:Bag>
   <rdf:li>XMP</rdf:li>
   <rdf:li>metadata</rdf:li>
   <rdf:li>ISO standard</rdf:li>
  </rdf:Bag>
 </dc:subject>
</rdf:Description>`))
	want := []string{"XMP", "metadata", "ISO standard"}
	if got := d.Bag(NSDC, "subject"); !reflect.DeepEqual(got, want) {
		t.Errorf("Bag = %q, want %q", got, want)
	}
	if k := d.Kind(NSDC, "subject"); k != Bag {
		t.Errorf("Kind = %v, want a bag", k)
	}
	if _, ok := d.Get(NSDC, "subject"); ok {
		t.Error("Get takes an array for a simple value")
	}
}

// TestStructureSpellings has the page-size structure (height 11.0, width 8.5,
// inch) in the spellings that ISO 16684-1 §7.9.2.2 to §7.9.2.4 call equivalent.
func TestStructureSpellings(t *testing.T) {
	const fields = `<stDim:h>11.0</stDim:h> <stDim:w>8.5</stDim:w> <stDim:unit>inch</stDim:unit>`
	const attrs = `stDim:unit="inch" stDim:h="11.0" stDim:w="8.5"`
	spellings := map[string]string{
		"nested node":            `<xmpTPg:MaxPageSize><rdf:Description>` + fields + `</rdf:Description></xmpTPg:MaxPageSize>`,
		"parseType":              `<xmpTPg:MaxPageSize rdf:parseType="Resource">` + fields + `</xmpTPg:MaxPageSize>`,
		"attributes":             `<xmpTPg:MaxPageSize ` + attrs + `/>`,
		"attributes of the node": `<xmpTPg:MaxPageSize><rdf:Description ` + attrs + `/></xmpTPg:MaxPageSize>`,
	}
	text := func(s string) Value { return Value{Kind: Text, Text: s} }
	const dim = "http://ns.adobe.com/xap/1.0/sType/Dimensions#"
	want := []Property{{"http://ns.adobe.com/xap/1.0/t/pg/", "MaxPageSize", Value{Kind: Struct, Fields: []Property{
		{dim, "h", text("11.0")}, {dim, "unit", text("inch")}, {dim, "w", text("8.5")},
	}}}}
	for name, s := range spellings {
		d := mustParse(t, packet(`<rdf:Description rdf:about="">`+s+`</rdf:Description>`))
		if got := d.Properties(); !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %+v", name, got)
		}
	}
}

// TestRatingSpellings reads one value from every equivalent spelling of a
// simple property: attribute and element form (§7.4), several descriptions, CDATA
// and references (§7.5), qualifiers (§7.8), a typed node (§7.9.2.5).
func TestRatingSpellings(t *testing.T) {
	for name, s := range map[string]string{
		"attribute":      `<rdf:Description rdf:about="" xmp:Rating="3"/>`,
		"element":        `<rdf:Description rdf:about=""><xmp:Rating>3</xmp:Rating></rdf:Description>`,
		"no about":       `<rdf:Description xmp:Rating='3'/>`,
		"second":         `<rdf:Description rdf:about="" dc:format="x"/><rdf:Description rdf:about="" xmp:Rating="3"/>`,
		"own prefix":     `<rdf:Description rdf:about="" xmlns:q="http://ns.adobe.com/xap/1.0/" q:Rating="3"/>`,
		"inner prefix":   `<rdf:Description rdf:about=""><r:Rating xmlns:r="http://ns.adobe.com/xap/1.0/">3</r:Rating></rdf:Description>`,
		"default":        `<rdf:Description rdf:about=""><Rating xmlns="http://ns.adobe.com/xap/1.0/">3</Rating></rdf:Description>`,
		"reference":      `<rdf:Description rdf:about="" xmp:Rating="&#x33;"/>`,
		"CDATA":          `<rdf:Description rdf:about=""><xmp:Rating><![CDATA[3]]></xmp:Rating></rdf:Description>`,
		"comment":        `<rdf:Description rdf:about=""><xmp:Rating><!-- stars -->3<?x y?></xmp:Rating></rdf:Description>`,
		"qualified":      `<rdf:Description rdf:about=""><xmp:Rating rdf:parseType="Resource"><rdf:value>3</rdf:value><dc:source>me</dc:source></xmp:Rating></rdf:Description>`,
		"qualified node": `<rdf:Description rdf:about=""><xmp:Rating><rdf:Description rdf:value="3" dc:source="me"/></xmp:Rating></rdf:Description>`,
		"qualified attr": `<rdf:Description rdf:about=""><xmp:Rating rdf:value="3" dc:source="me"/></rdf:Description>`,
		"typed node":     `<dc:Photo rdf:about="" xmp:Rating="3"/>`,
		"language":       `<rdf:Description rdf:about=""><xmp:Rating xml:lang="en">3</xmp:Rating></rdf:Description>`,
	} {
		d := mustParse(t, packet(s))
		if got, ok := d.Get(NSXMP, "Rating"); got != "3" || !ok {
			t.Errorf("%s: Get = %q, %v", name, got, ok)
		}
		if v, ok := ReadRating([]byte(packet(s))); v != 3 || !ok {
			t.Errorf("%s: ReadRating = %v, %v", name, v, ok)
		}
		out, err := d.Apply([]Edit{{NS: NSXMP, Prefix: "xmp", Name: "Rating", Value: "-1"}})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		// Only the one character of the value differs, in whatever form it is.
		from := "3"
		if name == "reference" {
			from = "&#x33;"
		}
		i := strings.LastIndex(packet(s), from)
		if want := packet(s)[:i] + "-1" + packet(s)[i+len(from):]; string(out) != want {
			t.Errorf("%s:\n got %s\nwant %s", name, out, want)
		}
	}
}

// TestForeignPrefix: our usual prefix bound to another namespace names another
// property.
func TestForeignPrefix(t *testing.T) {
	s := packet(`<rdf:Description rdf:about="" xmlns:xmp="urn:other" xmp:Rating="5">
 <xmp:Label>x</xmp:Label>
</rdf:Description>`)
	d := mustParse(t, s)
	if _, ok := d.Get(NSXMP, "Rating"); ok {
		t.Fatal("a property of another namespace was taken for ours")
	}
	out, err := d.Apply([]Edit{{NS: NSXMP, Prefix: "xmp", Name: "Rating", Value: "2"}})
	if err != nil {
		t.Fatal(err)
	}
	want := strings.Replace(s, "</xmp:Label>", "</xmp:Label>\n <xmp1:Rating xmlns:xmp1=\"http://ns.adobe.com/xap/1.0/\">2</xmp1:Rating>", 1)
	if string(out) != want {
		t.Errorf("got %s\nwant %s", out, want)
	}
}

// TestEscaping is example 3 of ISO 16684-1 §7.5: markup characters in a value.
func TestEscaping(t *testing.T) {
	d := mustParse(t, packet(`<rdf:Description rdf:about=""><xmp:Label>&lt;bold&gt; &amp; <![CDATA[<bold>]]></xmp:Label></rdf:Description>`))
	if got, _ := d.Get(NSXMP, "Label"); got != "<bold> & <bold>" {
		t.Errorf("Get = %q", got)
	}
	for _, s := range []string{`<rdf:Description rdf:about='' xmp:Label='x'/>`, `<rdf:Description rdf:about="" xmp:Label="x"/>`,
		`<rdf:Description rdf:about=""><xmp:Label>x</xmp:Label></rdf:Description>`, `<rdf:Description rdf:about=""><xmp:Label><![CDATA[x]]></xmp:Label></rdf:Description>`} {
		for _, hard := range []string{"a<b>&amp;'\"\t\n\r]]>😀", "]]>", "\r", "\n", "'", `"`, "&", " "} {
			out, err := mustParse(t, packet(s)).Apply([]Edit{{NS: NSXMP, Prefix: "xmp", Name: "Label", Value: hard}})
			if err != nil {
				t.Errorf("%s: %q: %v", s, hard, err)
				continue
			}
			if got, _ := mustParse(t, string(out)).Get(NSXMP, "Label"); got != hard {
				t.Errorf("%s: read back %q, want %q", s, got, hard)
			}
		}
	}
}

// TestParseRating has the value space of ISO 16684-1 §8.4 and the syntax of
// §8.2.1.4.
func TestParseRating(t *testing.T) {
	for s, want := range map[string]float64{"3": 3, "3.0": 3, "+3": 3, ".5": .5, "3.": 3, "-1": -1, "0": 0, "5": 5, "2.5": 2.5, " 4\n": 4} {
		if v, ok := ParseRating(s); v != want || !ok {
			t.Errorf("%q: %v, %v", s, v, ok)
		}
	}
	for _, s := range []string{"", "6", "-2", "-0.5", "3e0", "0x3", "3,0", "--1", "+-1", "1+", ".", "-", "NaN", "Inf", "1.2.3", "1_0", "three"} {
		if v, ok := ParseRating(s); ok {
			t.Errorf("%q was read as %v", s, v)
		}
	}
}
