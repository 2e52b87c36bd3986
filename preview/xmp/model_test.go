package xmp

import (
	"reflect"
	"testing"
)

// TestKinds: what each form of a property is, and what the simple views of it
// are (ISO 16684-1 §6.3, §7.5, §7.6, §7.7, §7.8, §7.9).
func TestKinds(t *testing.T) {
	for name, c := range map[string]struct {
		in   string
		kind Kind
		text string // "" = none
		bag  []string
	}{
		"absent":            {``, Absent, "", nil},
		"text":              {`<q:p>a</q:p>`, Text, "a", nil},
		"URI":               {`<q:p rdf:resource="urn:a&amp;b"/>`, URI, "urn:a&b", nil},
		"bag":               {`<q:p><rdf:Bag><rdf:li>a</rdf:li><rdf:li rdf:resource="b"/></rdf:Bag></q:p>`, Bag, "", []string{"a", "b"}},
		"empty bag":         {`<q:p><rdf:Bag/></q:p>`, Bag, "", []string{}},
		"sequence":          {`<q:p><rdf:Seq><rdf:li>a</rdf:li></rdf:Seq></q:p>`, Seq, "", []string{"a"}},
		"alternatives":      {`<q:p><rdf:Alt><rdf:li xml:lang="x-default">a</rdf:li></rdf:Alt></q:p>`, Alt, "", nil},
		"structure":         {`<q:p rdf:parseType="Resource"><q:a>1</q:a></q:p>`, Struct, "", nil},
		"empty structure":   {`<q:p rdf:parseType="Resource"/>`, Struct, "", nil},
		"attributes":        {`<q:p q:a="1"/>`, Struct, "", nil},
		"typed node":        {`<q:p><q:T><q:a>1</q:a></q:T></q:p>`, Struct, "", nil},
		"qualified":         {`<q:p><rdf:Description><rdf:value>a</rdf:value><q:a>1</q:a></rdf:Description></q:p>`, Text, "a", nil},
		"qualified twice":   {`<q:p rdf:parseType="Resource"><rdf:value rdf:parseType="Resource"><rdf:value>a</rdf:value><q:a>1</q:a></rdf:value><q:b>2</q:b></q:p>`, Text, "a", nil},
		"two values":        {`<q:p rdf:parseType="Resource"><rdf:value>a</rdf:value><rdf:value>b</rdf:value></q:p>`, Struct, "", nil},
		"bag of structures": {`<q:p><rdf:Bag><rdf:li rdf:parseType="Resource"><q:a>1</q:a></rdf:li><rdf:li>b</rdf:li></rdf:Bag></q:p>`, Bag, "", []string{"b"}},
		"repeated":          {`<q:p>a</q:p><q:p>a</q:p>`, Repeated, "", nil},
		"literal":           {`<q:p rdf:parseType="Literal"><q:a/></q:p>`, Other, "", nil},
		"collection":        {`<q:p rdf:parseType="Collection"/>`, Other, "", nil},
		"node":              {`<q:p rdf:nodeID="a"/>`, Other, "", nil},
		"named node inside": {`<q:p><rdf:Description rdf:nodeID="a" rdf:value="1"/></q:p>`, Other, "", nil},
		"two nodes":         {`<q:p><rdf:Bag/><rdf:Bag/></q:p>`, Other, "", nil},
		"mixed":             {`<q:p>a<rdf:Bag/></q:p>`, Other, "", nil},
		"attributes + text": {`<q:p q:a="1">b</q:p>`, Other, "", nil},
		"resource + node":   {`<q:p rdf:resource="a"><rdf:Bag/></q:p>`, Other, "", nil},
		"resource + fields": {`<q:p rdf:resource="a" q:a="1"/>`, Other, "", nil},
		"parse + fields":    {`<q:p rdf:parseType="Resource" q:a="1"/>`, Other, "", nil},
	} {
		d := mustParse(t, packet(`<rdf:Description rdf:about="" xmlns:q="urn:q">`+c.in+`</rdf:Description>`))
		if k := d.Kind("urn:q", "p"); k != c.kind {
			t.Errorf("%s: %v, want %v", name, k, c.kind)
		}
		if text, ok := d.Get("urn:q", "p"); text != c.text || ok != (c.text != "") {
			t.Errorf("%s: text %q, %v", name, text, ok)
		}
		if bag := d.Bag("urn:q", "p"); !reflect.DeepEqual(bag, c.bag) {
			t.Errorf("%s: bag %q, want %q", name, bag, c.bag)
		}
		// What Get reads is what Apply can set, and nothing else.
		_, err := d.Apply([]Edit{{NS: "urn:q", Prefix: "q", Name: "p", Value: "new"}})
		if settable := c.text != "" || c.kind == Absent; (err == nil) != settable {
			t.Errorf("%s: setting it: %v", name, err)
		}
	}
}

// TestQualifiers: xml:lang and general qualifiers (§7.8), in two spellings.
func TestQualifiers(t *testing.T) {
	want := Value{Kind: Text, Text: "a", Qualifiers: []Property{
		{nsXML, "lang", Value{Kind: Text, Text: "de"}},
		{"urn:q", "by", Value{Kind: Text, Text: "me"}},
	}}
	for _, s := range []string{
		`<q:p xml:lang="de" rdf:parseType="Resource"><rdf:value>a</rdf:value><q:by>me</q:by></q:p>`,
		`<q:p xml:lang="de"><rdf:Description q:by="me" rdf:value="a"/></q:p>`,
		`<q:p xml:lang="de" q:by="me" rdf:value="a"/>`,
	} {
		d := mustParse(t, packet(`<rdf:Description xmlns:q="urn:q">`+s+`</rdf:Description>`))
		if got := d.Properties(); len(got) != 1 || !reflect.DeepEqual(got[0].Value, want) {
			t.Errorf("%s: %+v", s, got)
		}
	}
}

// TestTypedNode: a node under another name is one with an rdf:type (§7.9.2.5).
func TestTypedNode(t *testing.T) {
	typed := mustParse(t, packet(`<rdf:Description xmlns:q="urn:q#"><q:p><q:T><q:a>1</q:a></q:T></q:p></rdf:Description>`))
	plain := mustParse(t, packet(`<rdf:Description xmlns:q="urn:q#"><q:p rdf:parseType="Resource">
 <rdf:type rdf:resource="urn:q#T"/><q:a>1</q:a></q:p></rdf:Description>`))
	if a, b := typed.Properties(), plain.Properties(); !reflect.DeepEqual(a, b) {
		t.Errorf("%+v\n%+v", a, b)
	}
}

// TestPropertiesAreSorted: spelling and order make no difference (§7.4).
func TestPropertiesAreSorted(t *testing.T) {
	a := mustParse(t, packet(`<rdf:Description rdf:about="" xmp:Rating="1" dc:format="f"><xmp:Label>l</xmp:Label></rdf:Description>`))
	b := mustParse(t, packet(`<rdf:Description><dc:format>f</dc:format></rdf:Description><rdf:Description xmp:Label="l"/>
<rdf:Description><xmp:Rating>1</xmp:Rating></rdf:Description>`))
	if x, y := a.Properties(), b.Properties(); !reflect.DeepEqual(x, y) || len(x) != 3 {
		t.Errorf("%+v\n%+v", x, y)
	}
}

// TestNotTheResource: nodes that describe something else state nothing here.
func TestNotTheResource(t *testing.T) {
	for name, s := range map[string]string{
		"named node": `<rdf:Description rdf:nodeID="a" xmp:Rating="3"/>`,
		"ID":         `<rdf:Description rdf:ID="a" xmp:Rating="3"/>`,
		"array":      `<rdf:Bag xmp:Rating="3"/>`,
		"nested":     `<rdf:Description><dc:source rdf:parseType="Resource"><xmp:Rating>3</xmp:Rating></dc:source></rdf:Description>`,
	} {
		if v, ok := ReadRating([]byte(packet(s))); ok {
			t.Errorf("%s: rating %v", name, v)
		}
	}
	outside := `<x xmlns:xmp="` + NSXMP + `" xmp:Rating="3"><xmp:Rating>3</xmp:Rating>` + rdfOpen + `</rdf:RDF></x>`
	if v, ok := ReadRating([]byte(outside)); ok {
		t.Errorf("outside of rdf:RDF: rating %v", v)
	}
}

func TestReadRating(t *testing.T) {
	for in, want := range map[string]float64{"3": 3, " -1 ": -1, "2.5": 2.5, "0": 0} {
		if v, ok := ReadRating([]byte(packet(`<rdf:Description xmp:Rating="` + in + `"/>`))); v != want || !ok {
			t.Errorf("%q: %v, %v", in, v, ok)
		}
	}
	for _, in := range []string{"6", "", "-2", "good", "1e0"} {
		if v, ok := ReadRating([]byte(packet(`<rdf:Description xmp:Rating="` + in + `"/>`))); v != 0 || ok {
			t.Errorf("%q: %v, %v", in, v, ok)
		}
	}
	for _, in := range []string{"", "x", packet(""), packet(`<rdf:Description xmp:Rating="1"/>`)[:200]} {
		if v, ok := ReadRating([]byte(in)); v != 0 || ok {
			t.Errorf("%q: %v, %v", in, v, ok)
		}
	}
}

func TestKindNames(t *testing.T) {
	seen := map[string]bool{}
	for k := Absent; k <= Other; k++ {
		if s := k.String(); s == "" || seen[s] {
			t.Errorf("kind %d is %q", k, s)
		} else {
			seen[s] = true
		}
	}
}
