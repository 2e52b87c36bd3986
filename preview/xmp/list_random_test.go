package xmp

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// TestListAgainstModel makes random additions and removals and compares with a
// plain slice.
func TestListAgainstModel(t *testing.T) {
	words := rapid.SampledFrom([]string{"a", "b", "c", "d & e", "<f>", " g ", "é😀"})
	rapid.Check(t, func(rt *rapid.T) {
		names := make([]string, 0, len(documents))
		for name := range documents {
			names = append(names, name)
		}
		slices.Sort(names)
		text := documents[rapid.SampledFrom(names).Draw(rt, "document")]
		var model []string
		for range rapid.IntRange(1, 6).Draw(rt, "edits") {
			e := Edit{NS: NSDC, Prefix: "dc", Name: "subject"}
			e.AddToBag = rapid.SliceOfN(words, 0, 3).Draw(rt, "add")
			e.RemoveFromBag = slices.DeleteFunc(rapid.SliceOfN(words, 0, 3).Draw(rt, "remove"), func(w string) bool {
				return slices.Contains(e.AddToBag, w)
			})
			if !e.isList() {
				continue
			}
			model = slices.DeleteFunc(model, func(w string) bool { return slices.Contains(e.RemoveFromBag, w) })
			for _, w := range e.AddToBag {
				if !slices.Contains(model, w) {
					model = append(model, w)
				}
			}
			text = apply(rt, text, e)
			if got := mustParse(rt, text).Bag(NSDC, "subject"); !slices.Equal(got, model) {
				rt.Fatalf("list %q, want %q\n%s", got, model, text)
			}
		}
	})
}

// TestValuesRoundTrip sets arbitrary text in every form of a simple property
// and in every encoding, and reads it back.
func TestValuesRoundTrip(t *testing.T) {
	forms := []string{
		`<rdf:Description rdf:about="" xmp:Label="x"/>`,
		`<rdf:Description rdf:about='' xmp:Label='x'/>`,
		`<rdf:Description><xmp:Label>x</xmp:Label></rdf:Description>`,
		`<rdf:Description><xmp:Label/></rdf:Description>`,
		`<rdf:Description><xmp:Label></xmp:Label></rdf:Description>`,
		`<rdf:Description><xmp:Label><!-- c --></xmp:Label></rdf:Description>`,
		`<rdf:Description><xmp:Label> <![CDATA[x]]> <?p i?> y</xmp:Label></rdf:Description>`,
		`<rdf:Description><xmp:Label rdf:resource="x"/></rdf:Description>`,
		`<rdf:Description><xmp:Label rdf:parseType="Resource"><rdf:value/><dc:a/></xmp:Label></rdf:Description>`,
		`<rdf:Description></rdf:Description>`,
	}
	characters := rapid.OneOf(rapid.SampledFrom([]rune("<>&'\"]\t\n\r -?")), rapid.Rune())
	rapid.Check(t, func(rt *rapid.T) {
		runes := rapid.SliceOfN(characters, 0, 12).Draw(rt, "value")
		value := string(slices.DeleteFunc(runes, func(r rune) bool { return !isChar(r) }))
		in := packet(rapid.SampledFrom(forms).Draw(rt, "form"))
		enc := rapid.SampledFrom(encodings).Draw(rt, "encoding")
		d, err := Parse(transcode(t, in, enc))
		if err != nil {
			rt.Fatal(err)
		}
		out, err := d.Apply([]Edit{{NS: NSXMP, Prefix: "xmp", Name: "Label", Value: value}})
		if err != nil {
			rt.Fatalf("%v\n%s", err, in)
		}
		again, err := Parse(out)
		if err != nil {
			rt.Fatal(err)
		}
		if got, ok := again.Get(NSXMP, "Label"); !ok || got != value {
			rt.Fatalf("%q reads back as %q\n%s", value, got, again.text)
		}
	})
}
