package proofs

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"net/url"
	"slices"
	"strings"
	"testing"
)

// element is a tag of the page as encoding/xml reads it, which knows nothing of how it
// was written.
type element struct {
	name string
	attr map[string]string
	text string
}

func elements(t testing.TB, page []byte) []element {
	t.Helper()
	body, ok := bytes.CutPrefix(page, []byte("<!DOCTYPE html>\n"))
	if !ok {
		t.Fatalf("no document type: %.40q", page)
	}
	d := xml.NewDecoder(bytes.NewReader(body))
	var all []element
	var open []int
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return all
		}
		if err != nil {
			t.Fatalf("not well-formed: %v", err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			e := element{name: tok.Name.Local, attr: map[string]string{}}
			for _, a := range tok.Attr {
				e.attr[a.Name.Local] = a.Value
			}
			open = append(open, len(all))
			all = append(all, e)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			for _, i := range open {
				all[i].text += string(tok)
			}
		case xml.Comment, xml.ProcInst, xml.Directive:
			t.Fatalf("unexpected %T", tok)
		}
	}
}

// known is every element that the page has; whatever a text might bring in is none.
var known = strings.Fields("html head meta title style body a header h1 h2 bdi p nav ul li span main section img div strong footer")

// holdsTogether checks what has to be so whatever the texts are: elements, ids, links to
// ids, names in place of pictures.
func holdsTogether(t testing.TB, page []byte, files []string) {
	t.Helper()
	ids, targets := map[string]bool{}, map[string]bool{}
	for _, e := range elements(t, page) {
		if !slices.Contains(known, e.name) {
			t.Errorf("element %s", e.name)
		}
		if id, ok := e.attr["id"]; ok {
			if ids[id] || id == "" {
				t.Errorf("id %q twice", id)
			}
			ids[id] = true
		}
		for name, v := range e.attr {
			if strings.HasPrefix(name, "on") || strings.ContainsAny(v, reorder) {
				t.Errorf("%s has %s=%q", e.name, name, v)
			}
			if name != "href" && name != "src" {
				continue
			}
			if fragment, ok := strings.CutPrefix(v, "#"); ok {
				targets[fragment] = true
				continue
			}
			u, err := url.Parse(v)
			if err != nil || u.Scheme != "" || u.Host != "" || u.RawQuery != "" || u.Fragment != "" || !slices.Contains(files, strings.TrimPrefix(u.Path, "./")) {
				t.Errorf("%s leads to %q", e.name, v)
			}
		}
		if e.name == "img" && (!strings.HasPrefix(e.attr["alt"], "Picture ") || e.attr["width"] == "" || e.attr["loading"] != "lazy") {
			t.Errorf("a picture as %v", e.attr)
		}
	}
	for id := range targets {
		if !ids[id] {
			t.Errorf("a link to %q, which is not there", id)
		}
	}
	if bytes.ContainsAny(page, reorder) {
		t.Error("a mark that reorders text")
	}
}

func TestPage(t *testing.T) {
	p, files := invented(t)
	page, err := p.HTML()
	if err != nil {
		t.Fatal(err)
	}
	again, err := p.HTML()
	if err != nil || !bytes.Equal(page, again) {
		t.Errorf("a second time it is another page (%v)", err)
	}
	names, err := p.Files()
	if err != nil {
		t.Fatal(err)
	}
	holdsTogether(t, page, names)
	for _, name := range names {
		if _, ok := files[name]; !ok && !strings.HasPrefix(name, "contact-") {
			t.Errorf("%s was never given", name)
		}
	}
	if len(names) != len(files)+2 {
		t.Errorf("%d files, not %d", len(names), len(files)+2)
	}
	var headings, numbers []string
	count := map[string]int{}
	for _, e := range elements(t, page) {
		count[e.name]++
		switch {
		case e.name == "h2":
			headings = append(headings, e.text)
		case e.attr["class"] == "number":
			numbers = append(numbers, e.text)
		case e.name == "title" && e.text != "Anna & Jørgen – Studio Łódź":
			t.Errorf("the title is %q", e.text)
		}
	}
	if count["h1"] != 1 || count["main"] != 1 || count["header"] != 1 || count["nav"] != 1 || count["footer"] != 1 || count["script"] != 0 || count["img"] != 2*37 {
		t.Errorf("elements: %v", count)
	}
	// The nasty name without its override, isolate, zero and escape, and nothing else changed.
	want := []string{"Getting ready", `Feier & Fête </bdi></title><script>alert(1)</script>" onerror='x' (\) gpj[31m`, "חתונה 2026", "Церковь"}
	if !slices.Equal(headings[:4], want) || len(headings) != 5 {
		t.Errorf("headings %q", headings)
	}
	if len(numbers) != 37 || !slices.Equal(numbers[:4], []string{"0401", "A/0402", "0403 ч/б", "0404"}) {
		t.Errorf("numbers %q", numbers)
	}
}

// One more picture changes the address of none.
func TestAddressesStay(t *testing.T) {
	p, _ := invented(t)
	ids := func() (out []string) {
		page, err := p.HTML()
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range elements(t, page) {
			if strings.HasPrefix(e.attr["id"], "v-") {
				out = append(out, e.attr["id"])
			}
		}
		return out
	}
	before := ids()
	more := Picture{Number: "9", Small: File{"small/9.jpg", 3, 2}}
	p.Scenes[0].Pictures = slices.Insert(p.Scenes[0].Pictures, 1, more)
	if after := ids(); !slices.Equal(slices.DeleteFunc(after, func(s string) bool { return s == "v-9" }), before) {
		t.Errorf("addresses %q became %q", before, after)
	}
}

func TestRefusals(t *testing.T) {
	pic := func(number, name string, size ...int) Picture {
		f := File{name, 30, 20}
		if len(size) == 2 {
			f.Width, f.Height = size[0], size[1]
		}
		return Picture{Number: number, Small: f}
	}
	page := func(title string, p ...Picture) *Page { return &Page{Title: title, Scenes: []Scene{{Pictures: p}}} }
	onSheet := page("x", pic("1", "contact-a4.pdf"))
	onSheet.Sheets = []Paper{A4}
	strange := page("x", pic("1", "a.jpg"))
	strange.Sheets = []Paper{7}
	two := page("x", Picture{Number: "1", Small: File{"a.jpg", 3, 2}, Large: File{"a.jpg", 30, 20}})
	for want, p := range map[string]*Page{
		"proofs: the page has no title":                                                             page(" \u202e ", pic("1", "a.jpg")),
		"proofs: the page has no picture":                                                           page("x"),
		`proofs: picture "a.jpg" has no number`:                                                     page("x", pic("\x00", "a.jpg")),
		"proofs: picture 12 cannot be told from picture 12 by its number":                           page("x", pic("12", "a.jpg"), pic("12", "b.jpg")),
		"proofs: picture A-12 cannot be told from picture a/12 by its number":                       page("x", pic("a/12", "a.jpg"), pic("A-12", "b.jpg")),
		"proofs: picture 2 has the file A.jpg, which is that of 1":                                  page("x", pic("1", "a.jpg"), pic("2", "A.jpg")),
		"proofs: picture 1 has the file contact-a4.pdf, which is not a picture's":                   onSheet,
		"proofs: picture 1 has the file INDEX.html, which is not a picture's":                       page("x", pic("1", "INDEX.html")),
		"proofs: a contact sheet is on unknown paper":                                               strange,
		"proofs: picture 1 has one file in two sizes":                                               two,
		"proofs: picture 1 has a size of 0x20 pixels (1 to 65535)":                                  page("x", pic("1", "a.jpg", 0, 20)),
		"proofs: picture 1 has a size of 3x65536 pixels (1 to 65535)":                               page("x", pic("1", "a.jpg", 3, 65536)),
		`proofs: picture 1 has the file "../a.jpg", which is no name below the page's folder`:       page("x", pic("1", "../a.jpg")),
		`proofs: picture 1 has the file "/a.jpg", which is no name below the page's folder`:         page("x", pic("1", "/a.jpg")),
		`proofs: picture 1 has the file "javascript:x", which is no name below the page's folder`:   page("x", pic("1", "javascript:x")),
		`proofs: picture 1 has the file "a\\..\\b.jpg", which is no name below the page's folder`:   page("x", pic("1", `a\..\b.jpg`)),
		`proofs: picture 1 has the file "a\nb.jpg", which is no name below the page's folder`:       page("x", pic("1", "a\nb.jpg")),
		`proofs: picture 1 has the file "", which is no name below the page's folder`:               page("x", pic("1", "")),
		"proofs: picture " + strings.Repeat("ж", 64) + "… has a number of more than 64 letters":     page("x", pic(strings.Repeat("ж", 65), "a.jpg")),
		`proofs: picture 1 has the file "a\u202egpj.exe", which is no name below the page's folder`: page("x", pic("1", "a\u202egpj.exe")),
		"proofs: the page has more than 20000 pictures":                                             page("x", make([]Picture, 20001)...),
	} {
		_, err := p.HTML()
		if err == nil || err.Error() != want {
			t.Errorf("%v, not %q", err, want)
		}
		if e := (*InputError)(nil); !errors.As(err, &e) {
			t.Errorf("%T", err)
		}
		if _, err := p.PDF(io.Discard, Sheet{}, nil); err == nil {
			t.Errorf("a contact sheet where: %s", want)
		}
	}
}

func TestNames(t *testing.T) {
	for number, want := range map[string]string{
		"0412": "small/0412.jpg", "A/0412": "small/A-0412.jpg", "0412 bw": "small/0412-bw.jpg", "nul": "small/nul_.jpg", "COM1": "small/COM1_.jpg",
		"../..": "small/_2e__2e_-_2e__2e_.jpg", "é": "small/_e9_.jpg", "": "small/_.jpg", "a\x00b": "small/ab.jpg", "COM10": "small/COM10.jpg",
	} {
		if got := SmallName(number); got != want || !local(got) {
			t.Errorf("%q is %s, not %s", number, got, want)
		}
	}
	if got := LargeName("1") + " " + SheetName(Letter); got != "large/1.jpg contact-letter.pdf" {
		t.Error(got)
	}
}

func FuzzHTML(f *testing.F) {
	f.Add("Title", "Studio", "Note\n\n2", "Scene", "0412", "alt", "small/1.jpg", 3, 2)
	f.Add(nasty, nasty, nasty, nasty, nasty, nasty, "a/#?%41;'&.jpg", 1, 65535)
	f.Add("\xff\u2028\ufffe]]>", "\u0085", "\r", "&#0;", "<!--", "--><![CDATA[", "a:b", 9, 9)
	f.Fuzz(func(t *testing.T, title, studio, note, scene, number, alt, name string, w, h int) {
		p := &Page{title, studio, note, []Scene{{scene, []Picture{{number, alt, File{name, w, h}, File{}}}}, {note, []Picture{{Number: number + "2", Small: File{"2", 1, 1}}}}}, []Paper{Letter}}
		page, err := p.HTML()
		if err != nil {
			if page != nil {
				t.Error("a page beside an error")
			}
			return
		}
		files, err := p.Files()
		if err != nil {
			t.Fatal(err)
		}
		holdsTogether(t, page, files)
	})
}
