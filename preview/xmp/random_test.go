package xmp

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// sketch draws a random document in a random spelling and remembers what it put
// into it.
type sketch struct {
	t       *rapid.T
	b       strings.Builder
	nl      string
	step    string
	quote   string
	foreign []string        // chunks of other people's, in order
	ours    map[string]bool // which of our properties are there
	subject []string
	serial  int
}

func (s *sketch) coin(label string) bool { return rapid.Bool().Draw(s.t, label) }

func (s *sketch) pick(label string, of ...string) string {
	return rapid.SampledFrom(of).Draw(s.t, label)
}

// line begins a line; in a document without line ends there may be blanks.
func (s *sketch) line(depth int) {
	if s.nl == "" {
		s.b.WriteString(s.pick("gap", "", " "))
		return
	}
	s.b.WriteString(s.nl + strings.Repeat(s.step, depth))
	if rapid.IntRange(0, 9).Draw(s.t, "odd") == 0 {
		s.b.WriteString(s.pick("more", " ", s.nl, "\t", "  "+s.nl))
	}
}

func (s *sketch) keep(chunk string) {
	s.foreign = append(s.foreign, chunk)
	s.b.WriteString(chunk)
}

func (s *sketch) quoted(v string) string { return s.quote + v + s.quote }

// stranger writes something that is not ours.
func (s *sketch) stranger(depth int) {
	s.serial++
	n := s.serial
	s.line(depth)
	switch rapid.IntRange(0, 7).Draw(s.t, "stranger") {
	case 0:
		s.keep(fmt.Sprintf("<q:p%d>é &amp; &#x41; %d 😀</q:p%d>", n, n, n))
	case 1:
		s.keep(fmt.Sprintf("<!-- xmp:Rating %d -->", n))
	case 2:
		s.keep(fmt.Sprintf("<q:p%d rdf:parseType='Resource'><q:Rating>%d</q:Rating></q:p%d>", n, n, n))
	case 3:
		s.keep(fmt.Sprintf("<q:p%d><rdf:Seq> <rdf:li>album</rdf:li><rdf:li>%d</rdf:li></rdf:Seq></q:p%d>", n, n, n))
	case 4:
		s.keep(fmt.Sprintf(`<xmp:p%d xmlns:xmp="urn:%d">5</xmp:p%d>`, n, n, n))
	case 5:
		s.keep(fmt.Sprintf("<q:p%d><![CDATA[<xmp:Rating>%d</xmp:Rating>]]></q:p%d>", n, n, n))
	case 6:
		s.keep(fmt.Sprintf("<?q %d?>", n))
	case 7:
		s.keep(fmt.Sprintf("<q:p%d   q:a = '%d'\n q:b=\"&#10;\"/>", n, n))
	}
}

// own writes one of our properties as an element.
func (s *sketch) own(name string, depth int) {
	s.ours[name] = true
	s.line(depth)
	switch name {
	case "Rating":
		s.b.WriteString(s.pick("form", "<m:Rating>3</m:Rating>", "<m:Rating> 3 <!--x--></m:Rating>", "<m:Rating/>",
			"<m:Rating><![CDATA[3]]></m:Rating>", "<m:Rating rdf:parseType='Resource'><rdf:value>3</rdf:value></m:Rating>",
			"<Rating xmlns='http://ns.adobe.com/xap/1.0/'>3</Rating>"))
	case "good":
		s.b.WriteString(s.pick("form", "<d:good>False</d:good>", "<d:good\n/>", "<d:good xml:lang='en'>False</d:good >"))
	case "subject":
		s.subject = []string{"album", "x"}
		kind := s.pick("list", "Bag", "Seq")
		s.b.WriteString("<k:subject>")
		s.line(depth + 1)
		s.b.WriteString("<rdf:" + kind + ">")
		s.line(depth + 2)
		s.b.WriteString("<rdf:li>album</rdf:li>")
		s.line(depth + 2)
		s.b.WriteString("<rdf:li>x</rdf:li>")
		s.line(depth + 1)
		s.b.WriteString("</rdf:" + kind + ">")
		s.line(depth)
		s.b.WriteString("</k:subject>")
	}
}

func drawSketch(t *rapid.T) *sketch {
	s := &sketch{t: t, ours: map[string]bool{}}
	s.nl = s.pick("newline", "\n", "\r\n", "\r", "")
	s.step = s.pick("step", " ", "  ", "\t", "")
	s.quote = s.pick("quote", `"`, "'")
	about := s.pick("about", "", "uuid:1&amp;2")
	s.b.WriteString(s.pick("mark", "", "\uFEFF"))
	if s.coin("wrapper") {
		s.keep("<?xpacket begin='\uFEFF' id='W5M0MpCehiHzreSzNTczkc9d'?>" + s.nl)
	}
	meta := s.coin("xmpmeta")
	if meta {
		s.keep("<x:xmpmeta xmlns:x=" + s.quoted("adobe:ns:meta/") + ">" + s.nl)
	}
	s.keep("<rdf:RDF xmlns:rdf=" + s.quoted(NSRDF) + " xmlns:m=" + s.quoted(NSXMP) + " xmlns:q='urn:q'")
	s.b.WriteString(s.pick("more namespaces", "", " xmlns:xmpDM='urn:not-ours'"))
	s.b.WriteString(">")
	left := []string{"Rating", "good", "subject"}
	for range rapid.IntRange(0, 3).Draw(t, "nodes") {
		s.line(1)
		s.keep("<rdf:Description rdf:about=" + s.quoted(about))
		s.keep(" xmlns:d=" + s.quoted(NSXMPDM) + s.nl + " xmlns:k=" + s.quoted(NSDC))
		if len(left) > 0 && left[0] == "Rating" && s.coin("attribute") {
			s.b.WriteString(" m:Rating = " + s.quoted("3"))
			s.ours["Rating"] = true
			left = left[1:]
		}
		s.serial++
		s.keep(fmt.Sprintf(" q:a%d='%d'", s.serial, s.serial))
		if s.coin("empty tag") {
			s.b.WriteString("/>")
			continue
		}
		s.b.WriteString(">")
		for range rapid.IntRange(0, 4).Draw(t, "content") {
			if len(left) > 0 && s.coin("ours") {
				s.own(left[0], 2)
				left = left[1:]
			} else {
				s.stranger(2)
			}
		}
		s.line(1)
		s.keep("</rdf:Description>")
	}
	s.line(0)
	s.keep("</rdf:RDF>")
	if meta {
		s.keep("</x:xmpmeta>" + s.nl)
	}
	s.b.WriteString(s.pick("padding", "", "   \n", "<?xpacket end='w'?>"))
	return s
}

// foreignOf returns the properties that are not ours.
func foreignOf(d *Doc) []Property {
	return slices.DeleteFunc(d.Properties(), func(p Property) bool {
		return p.NS == NSXMP && p.Name == "Rating" || p.NS == NSXMPDM && p.Name == "good" || p.NS == NSDC && p.Name == "subject"
	})
}

// TestRandomDocuments: in random documents, setting reads back and is
// idempotent, other people's bytes stay in their order, what is new can be taken
// back without a trace, and encodings make no difference.
func TestRandomDocuments(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := drawSketch(rt)
		text := s.b.String()
		enc := rapid.SampledFrom(encodings).Draw(rt, "encoding")
		in := transcode(t, text, enc)
		d, err := Parse(in)
		if err != nil {
			rt.Fatalf("%v\n%s", err, text)
		}
		edits := []Edit{
			{NS: NSXMP, Prefix: "xmp", Name: "Rating", Value: rapid.SampledFrom([]string{"1", "-1", "3"}).Draw(rt, "rating")},
			{NS: NSXMPDM, Prefix: "xmpDM", Name: "good", Value: rapid.SampledFrom([]string{"True", "<&'\">\n"}).Draw(rt, "good")},
			{NS: NSDC, Prefix: "dc", Name: "subject", AddToBag: []string{"album", "review"}},
		}
		edits = rapid.Permutation(edits).Draw(rt, "order")
		out, err := d.Apply(edits)
		if err != nil {
			rt.Fatalf("%v\n%s", err, text)
		}
		after, err := Parse(out)
		if err != nil {
			rt.Fatal(err)
		}
		rest := after.text
		for _, chunk := range s.foreign {
			_, next, ok := strings.Cut(rest, chunk)
			if !ok {
				rt.Fatalf("%q is lost:\n%s\n%s", chunk, text, after.text)
			}
			rest = next
		}
		if a, b := fmt.Sprint(foreignOf(d)), fmt.Sprint(foreignOf(after)); a != b {
			rt.Fatalf("other properties: %s, were %s", b, a)
		}
		for _, e := range edits {
			if v, _ := after.Get(e.NS, e.Name); !e.isList() && v != e.Value {
				rt.Fatalf("%s reads %q", e.Name, v)
			}
		}
		want := append(slices.Clone(s.subject), "review")
		if len(s.subject) == 0 {
			want = []string{"album", "review"}
		}
		if got := after.Bag(NSDC, "subject"); !slices.Equal(got, want) {
			rt.Fatalf("keywords %q, want %q", got, want)
		}
		if twice, err := after.Apply(edits); err != nil || !bytes.Equal(twice, out) {
			rt.Fatalf("not idempotent: %v\n%s", err, twice)
		}
		takeBack(rt, d, edits, s)
	})
}

// takeBack adds what the document does not have and removes it again.
func takeBack(rt *rapid.T, d *Doc, edits []Edit, s *sketch) {
	var add, remove []Edit
	for _, e := range edits {
		if e.isList() && s.ours["subject"] {
			add = append(add, Edit{NS: e.NS, Prefix: e.Prefix, Name: e.Name, AddToBag: []string{"review"}})
			remove = append(remove, undo(add[len(add)-1]))
		} else if !s.ours[e.Name] {
			add, remove = append(add, e), append(remove, undo(e))
		}
	}
	remove = rapid.Permutation(remove).Draw(rt, "way back")
	out, err := d.Apply(add)
	if err != nil {
		rt.Fatal(err)
	}
	there, err := Parse(out)
	if err != nil {
		rt.Fatal(err)
	}
	back, err := there.Apply(remove)
	if err != nil || !bytes.Equal(back, d.Bytes()) {
		rt.Fatalf("taken back: %v\n got %q\nwant %q\n via %q", err, back, d.Bytes(), out)
	}
}
