package xmp

import (
	"bytes"
	"reflect"
	"slices"
	"testing"
)

func addSeeds(f *testing.F) {
	for _, s := range documents {
		f.Add([]byte(s))
		f.Add(utf16LE.encode(s))
		f.Add(utf32BE.encode(s))
	}
	for _, inner := range []string{
		`<rdf:Description rdf:about="" xmp:Rating="3" dc:subject="a"/>`,
		`<rdf:Description rdf:about=''><xmp:Rating><!-- a --><![CDATA[3]]></xmp:Rating><dc:subject><rdf:Bag><rdf:li>a</rdf:li></rdf:Bag></dc:subject></rdf:Description>`,
		`<rdf:Description><xmp:Rating rdf:parseType="Resource"><rdf:value>&#51;</rdf:value></xmp:Rating></rdf:Description>`,
		`<rdf:Description xmp:Rating="1"/><rdf:Description xmp:Rating="2"/>`,
	} {
		f.Add([]byte(packet(inner)))
	}
	f.Add([]byte("<!DOCTYPE a [<!ENTITY b 'c'>]><a>&b;</a>"))
	f.Add([]byte{0xFF, 0xFE, 0, 0})
}

// FuzzParse: no panic; on an error no document; reading is deterministic and
// reversible; applying nothing gives the same bytes.
func FuzzParse(f *testing.F) {
	addSeeds(f)
	f.Fuzz(func(t *testing.T, in []byte) {
		d, err := Parse(in)
		if err != nil {
			if d != nil {
				t.Fatal("a document beside an error")
			}
			if v, ok := ReadRating(in); ok || v != 0 {
				t.Fatal("a rating from what is no document")
			}
			return
		}
		if !bytes.Equal(d.Bytes(), in) {
			t.Fatalf("reading is not reversible: %q", d.Bytes())
		}
		if out, err := d.Apply(nil); err != nil || !bytes.Equal(out, in) {
			t.Fatalf("applying nothing: %q, %v", out, err)
		}
		again, err := Parse(in)
		if err != nil || !reflect.DeepEqual(again.Properties(), d.Properties()) {
			t.Fatalf("reading is not deterministic: %v", err)
		}
		if v, ok := ReadRating(in); ok && v != -1 && !(v >= 0 && v <= 5) {
			t.Fatalf("rating %v", v)
		}
	})
}

// FuzzApply: on an error no bytes, and never the error of a failed self-check;
// otherwise the result is a document with the wanted values, equal properties of
// others, and nothing to do the second time.
func FuzzApply(f *testing.F) {
	addSeeds(f)
	f.Fuzz(func(t *testing.T, in []byte) {
		d, err := Parse(in)
		if err != nil {
			return
		}
		for _, edits := range [][]Edit{
			{setRating, setGood}, {addAlbum}, {undo(setRating)}, {undo(addAlbum), setRating},
		} {
			out, err := d.Apply(edits)
			if err != nil {
				if _, ok := err.(*PropertyError); !ok {
					t.Fatalf("%v", err)
				}
				if out != nil {
					t.Fatal("bytes beside an error")
				}
				continue
			}
			after, err := Parse(out)
			if err != nil {
				t.Fatalf("%v: %q", err, out)
			}
			same := func(a, b Property) bool { return reflect.DeepEqual(a, b) }
			if !slices.EqualFunc(foreignOf(d), foreignOf(after), same) {
				t.Fatalf("other properties changed: %q", out)
			}
			if v, _ := after.Get(NSXMP, "Rating"); edits[0].Name == "Rating" && v != edits[0].Value {
				t.Fatalf("rating reads %q", v)
			}
			twice, err := after.Apply(edits)
			if err != nil || !bytes.Equal(twice, out) && len(edits[0].RemoveFromBag) == 0 {
				t.Fatalf("the second time: %v, %q", err, twice)
			}
		}
	})
}
