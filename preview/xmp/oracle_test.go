package xmp

import (
	"encoding/xml"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"garner/testdata/testneed"
)

// This file holds the tokenizer against encoding/xml, an independent reader of
// the same standard: names, namespaces, attribute values, text and where tags
// end must agree.

// flatten lists what encoding/xml reads: start and end tags with the offset
// after them, and text.
func flatten(text string) ([]string, error) {
	dec := xml.NewDecoder(strings.NewReader(strings.TrimPrefix(text, "\uFEFF")))
	shift := int64(len(text) - len(strings.TrimPrefix(text, "\uFEFF")))
	var out []string
	var chars strings.Builder
	flush := func() {
		if chars.Len() > 0 {
			out = append(out, fmt.Sprintf("text %q", chars.String()))
			chars.Reset()
		}
	}
	depth := 0
	for {
		token, err := dec.Token()
		if err == io.EOF {
			return out, nil
		}
		if err != nil {
			return nil, err
		}
		switch v := token.(type) {
		case xml.StartElement:
			flush()
			depth++
			line := fmt.Sprintf("<%s %s to %d", v.Name.Space, v.Name.Local, dec.InputOffset()+shift)
			for _, a := range v.Attr {
				if a.Name.Space == "xmlns" || a.Name.Space == "" && a.Name.Local == "xmlns" {
					continue
				}
				line += fmt.Sprintf(" %s %s=%q", a.Name.Space, a.Name.Local, spaces.Replace(a.Value))
			}
			out = append(out, line)
		case xml.EndElement:
			flush()
			depth--
			out = append(out, fmt.Sprintf("> to %d", dec.InputOffset()+shift))
		case xml.CharData:
			if depth > 0 {
				chars.Write(v)
			}
		}
	}
}

// spaces makes blanks of line ends and tabs: encoding/xml does not do the
// attribute-value normalization of XML 1.0 §3.3.3.
var spaces = strings.NewReplacer("\n", " ", "\t", " ", "\r", " ")

// flattenOurs lists the same from our tree.
func flattenOurs(d *Doc) []string {
	root := d.rdf
	for root.parent != nil {
		root = root.parent
	}
	var out []string
	var walk func(n *node)
	walk = func(n *node) {
		line := fmt.Sprintf("<%s %s to %d", n.ns, n.local, n.open.hi)
		for i := range n.attrs {
			if a := &n.attrs[i]; a.ns != nsXMLNS {
				line += fmt.Sprintf(" %s %s=%q", a.ns, a.local, spaces.Replace(d.attrText(a)))
			}
		}
		out = append(out, line)
		kids, pieces := n.kids, n.pieces
		text := ""
		flush := func() {
			if text != "" {
				out = append(out, fmt.Sprintf("text %q", text))
				text = ""
			}
		}
		for len(kids)+len(pieces) > 0 {
			if len(kids) > 0 && (len(pieces) == 0 || kids[0].open.lo < pieces[0].lo) {
				flush()
				walk(kids[0])
				kids = kids[1:]
				continue
			}
			text += d.nodeText(&node{pieces: pieces[:1]})
			pieces = pieces[1:]
		}
		flush()
		out = append(out, fmt.Sprintf("> to %d", n.close.hi))
	}
	walk(root)
	return out
}

func agree(t rapid.TB, text string) {
	t.Helper()
	d, err := Parse([]byte(text))
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	want, err := flatten(text)
	if err != nil {
		t.Fatalf("encoding/xml: %v\n%s", err, text)
	}
	got := flattenOurs(d)
	for i := range max(len(got), len(want)) {
		switch {
		case i >= len(got) || i >= len(want):
			t.Fatalf("%d tokens, encoding/xml has %d", len(got), len(want))
		case got[i] != want[i]:
			t.Fatalf("token %d is %s, encoding/xml has %s\n%s", i, got[i], want[i], text)
		}
	}
}

func TestTokensAgainstStandardLibrary(t *testing.T) {
	for _, s := range documents {
		agree(t, s)
		agree(t, apply(t, s, setRating, setGood, addAlbum))
	}
	agree(t, packet(`<rdf:Description xml:lang='&#x41;&amp;&quot;&apos;&lt;&gt;' a = "x
y	z"><a><![CDATA[<&>]]]]>&#10; b]] > &gt;<!-- - --><?p i?></a ></rdf:Description >`))
	rapid.Check(t, func(rt *rapid.T) { agree(rt, drawSketch(rt).b.String()) })
}

func TestSampleTokensAgainstStandardLibrary(t *testing.T) {
	for name, want := range sampleFiles {
		b, err := os.ReadFile(filepath.Join(testneed.Samples(t), "xmp", name))
		if err != nil {
			t.Fatal(err)
		}
		if !want.unreadable {
			agree(t, plainText(b))
		}
	}
}
