package xmp

import (
	"bytes"
	"errors"
	"strings"
	"testing"
)

// whole is a document with every construct in it.
const whole = "<?xml version='1.0' encoding=\"UTF-8\"?>\n<!-- c --><?p i?>" +
	`<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
 <rdf:Description rdf:about='' xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmp:Label="&#x41;é">
  <xmp:Rating><![CDATA[3]]></xmp:Rating><!-- c -->
  <dc:subject xmlns:dc="http://purl.org/dc/elements/1.1/"><rdf:Bag><rdf:li>a&amp;b</rdf:li></rdf:Bag></dc:subject>
  <xmp:Identifier rdf:parseType="Resource"><rdf:value>1</rdf:value></xmp:Identifier>
 </rdf:Description><rdf:Description/>
</rdf:RDF></x:xmpmeta>`

// TestCutOff: no beginning of a document passes for one, in any encoding. (Only
// the end may miss nothing but white space, and here there is none.)
func TestCutOff(t *testing.T) {
	for _, enc := range encodings {
		b := transcode(t, strings.Replace(whole, ` encoding="UTF-8"`, "", 1), enc)
		if _, err := Parse(b); err != nil {
			t.Fatalf("encoding %d: %v", enc, err)
		}
		for n := range b {
			d, err := Parse(b[:n])
			var format *FormatError
			if d != nil || !errors.As(err, &format) || format.Offset > int64(n) {
				t.Fatalf("encoding %d, %d of %d bytes: %v", enc, n, len(b), err)
			}
		}
	}
}

// TestEveryByteDamaged exchanges, drops and doubles each byte: the result is
// refused, or is a document that is kept and edited as carefully as any other.
func TestEveryByteDamaged(t *testing.T) {
	parsed := 0
	for i := range len(whole) {
		variants := []string{whole[:i] + whole[i+1:], whole[:i] + whole[i:i+1] + whole[i:]}
		for _, c := range "<>&'\"/:=! x\x00\x80" {
			variants = append(variants, whole[:i]+string(c)+whole[i+1:])
		}
		variants = append(variants, whole[:i]+"\xff"+whole[i+1:])
		for _, s := range variants {
			d, err := Parse([]byte(s))
			if err != nil {
				continue
			}
			parsed++
			if out, err := d.Apply(nil); err != nil || string(out) != s {
				t.Fatalf("%q: kept as %q, %v", s, out, err)
			}
			out, err := d.Apply([]Edit{setRating, addAlbum})
			var refused *PropertyError
			if err != nil && (!errors.As(err, &refused) || out != nil) {
				t.Fatalf("%q: %v", s, err)
			}
		}
	}
	if parsed < 100 {
		t.Errorf("only %d damaged documents were readable: the test shows little", parsed)
	}
}

// TestInputIsNotKept: what a document holds does not change with the caller's
// buffer, nor the buffer by editing.
func TestInputIsNotKept(t *testing.T) {
	for _, enc := range encodings {
		b := transcode(t, packet(`<rdf:Description xmp:Rating="3"/>`), enc)
		saved := bytes.Clone(b)
		d, err := Parse(b)
		if err != nil {
			t.Fatal(err)
		}
		out, err := d.Apply([]Edit{setRating})
		if err != nil || !bytes.Equal(b, saved) {
			t.Fatalf("encoding %d: the input was written to; %v", enc, err)
		}
		clear(b)
		if again, err := d.Apply([]Edit{setRating}); err != nil || !bytes.Equal(again, out) {
			t.Errorf("encoding %d: the document changed with the buffer; %v", enc, err)
		}
		clear(out)
		if v, _ := d.Get(NSXMP, "Rating"); v != "3" {
			t.Errorf("encoding %d: the document changed with the result", enc)
		}
	}
}
