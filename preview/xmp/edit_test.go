package xmp

import (
	"errors"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

var (
	setRating = Edit{NS: NSXMP, Prefix: "xmp", Name: "Rating", Value: "1"}
	setGood   = Edit{NS: NSXMPDM, Prefix: "xmpDM", Name: "good", Value: "True"}
	addAlbum  = Edit{NS: NSDC, Prefix: "dc", Name: "subject", AddToBag: []string{"album", "a&b"}}
)

// undo is the edit that takes back the setting of a new property.
func undo(e Edit) Edit {
	if e.isList() {
		return Edit{NS: e.NS, Prefix: e.Prefix, Name: e.Name, RemoveFromBag: e.AddToBag}
	}
	return Edit{NS: e.NS, Name: e.Name, Remove: true}
}

func apply(t rapid.TB, s string, edits ...Edit) string {
	t.Helper()
	out, err := mustParse(t, s).Apply(edits)
	if err != nil {
		t.Fatalf("%v\n%s", err, s)
	}
	return string(out)
}

// documents are shapes of sidecars that have none of the properties above.
var documents = map[string]string{
	"compact":       rdfOpen + `<rdf:Description rdf:about="" xmlns:q="urn:q"><q:a>1</q:a></rdf:Description></rdf:RDF>`,
	"no node":       rdfOpen + `</rdf:RDF>`,
	"no node, line": "<?xpacket begin=''?>\n" + rdfOpen + "\n</rdf:RDF>\n",
	"empty tag":     "<x>\n  " + rdfOpen + "\n    <rdf:Description rdf:about=\"uuid:1\"/>\n  </rdf:RDF></x>",
	"empty bare":    rdfOpen + `<rdf:Description rdf:about=""></rdf:Description></rdf:RDF>`,
	"empty node":    rdfOpen + "\n <rdf:Description rdf:about='' xmlns:xmp='http://ns.adobe.com/xap/1.0/'>\n </rdf:Description></rdf:RDF>",
	"tabs, CRLF":    "\uFEFF" + rdfOpen + "\r\n\t<rdf:Description rdf:about=\"\" xmlns:q=\"urn:q\">\r\n\t\t<q:a>1</q:a>\r\n\t</rdf:Description>\r\n</rdf:RDF>\r\n",
	"CR":            rdfOpen + "\r <rdf:Description rdf:about=\"\" xmlns:q=\"urn:q\">\r  <q:a>1</q:a>\r </rdf:Description>\r</rdf:RDF>",
	"comments":      rdfOpen + "<rdf:Description xmlns:q='urn:q'><!-- a --> <q:a/> <!-- b --> </rdf:Description></rdf:RDF>",
	"foreign xmp":   rdfOpen + "<rdf:Description xmlns:xmp='urn:q' xmlns:dc='urn:dc'><xmp:Rating/> </rdf:Description></rdf:RDF>",
	"default RDF":   `<RDF xmlns="http://www.w3.org/1999/02/22-rdf-syntax-ns#"/>`,
	"default open":  "<RDF xmlns='http://www.w3.org/1999/02/22-rdf-syntax-ns#'>\n</RDF>",
	"rdf rebound":   rdfOpen + `<r:Description xmlns:r="http://www.w3.org/1999/02/22-rdf-syntax-ns#" xmlns:rdf="urn:q"><rdf:a/></r:Description></rdf:RDF>`,
	"other node":    rdfOpen + `<rdf:Description rdf:nodeID="a"><rdf:value>1</rdf:value></rdf:Description></rdf:RDF>`,
	"typed node":    rdfOpen + `<q:Photo xmlns:q="urn:q" rdf:about="x"><q:a/></q:Photo></rdf:RDF>`,
	"padding":       "<?xpacket begin=\"\uFEFF\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>" + rdfOpen + "<rdf:Description rdf:about='' xmlns:q='urn:q' q:a='1'></rdf:Description></rdf:RDF>\n" + strings.Repeat(" ", 2000) + "\n<?xpacket end=\"w\"?>",
}

// TestAddAndTakeBack: adding new properties and removing them again, in any
// order, gives the original bytes, and what is there is read back on the way.
func TestAddAndTakeBack(t *testing.T) {
	edits := []Edit{setRating, setGood, addAlbum}
	for name, s := range documents {
		if name == "default RDF" {
			continue // stays open: TestEmptyTagRDF
		}
		all := apply(t, s, edits...)
		d := mustParse(t, all)
		if v, _ := d.Get(NSXMP, "Rating"); v != "1" {
			t.Errorf("%s: rating %q", name, v)
		}
		if v := d.Bag(NSDC, "subject"); !reflect.DeepEqual(v, addAlbum.AddToBag) {
			t.Errorf("%s: subject %q", name, v)
		}
		if again := apply(t, all, edits...); again != all {
			t.Errorf("%s: the second time changes something:\n%s\n%s", name, all, again)
		}
		for _, order := range [][3]int{{0, 1, 2}, {2, 1, 0}, {1, 2, 0}} {
			back := all
			for _, i := range order {
				back = apply(t, back, undo(edits[i]))
			}
			if back != s {
				t.Errorf("%s: taken back in order %v:\n got %q\nwant %q\nfrom %q", name, order, back, s, all)
			}
		}
	}
}

// TestEmptyTagRDF: an rdf:RDF written as an empty-element tag is opened.
func TestEmptyTagRDF(t *testing.T) {
	all := apply(t, documents["default RDF"], setRating)
	const want = `<RDF xmlns="http://www.w3.org/1999/02/22-rdf-syntax-ns#">` +
		`<Description xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#" rdf:about="">` +
		`<xmp:Rating xmlns:xmp="http://ns.adobe.com/xap/1.0/">1</xmp:Rating></Description></RDF>`
	if all != want {
		t.Errorf("got %s", all)
	}
	if back := apply(t, all, undo(setRating)); back != `<RDF xmlns="http://www.w3.org/1999/02/22-rdf-syntax-ns#"></RDF>` {
		t.Errorf("taken back: %s", back)
	}
}

// TestPlaces: exact bytes for a few spellings.
func TestPlaces(t *testing.T) {
	const dm = ` xmlns:xmpDM="http://ns.adobe.com/xmp/1.0/DynamicMedia/"`
	for name, c := range map[string]struct {
		in, out string // of the part within rdf:RDF
		edit    Edit
	}{
		"after the last": {"\n <rdf:Description xmlns:q=\"urn:q\">\n\n   <q:a/>\n </rdf:Description>\n",
			"\n <rdf:Description xmlns:q=\"urn:q\">\n\n   <q:a/>\n\n   <xmpDM:good" + dm + ">True</xmpDM:good>\n </rdf:Description>\n", setGood},
		"in scope": {"\n <rdf:Description" + dm + ">\n </rdf:Description><rdf:Description xmlns:q='urn:q'><q:a/></rdf:Description>",
			"\n <rdf:Description" + dm + ">\n  <xmpDM:good>True</xmpDM:good>\n </rdf:Description><rdf:Description xmlns:q='urn:q'><q:a/></rdf:Description>", setGood},
		"the last of equals": {"<rdf:Description" + dm + "><d/></rdf:Description> <rdf:Description" + dm + "> <d/></rdf:Description>",
			"<rdf:Description" + dm + "><d/></rdf:Description> <rdf:Description" + dm + "> <d/> <xmpDM:good>True</xmpDM:good></rdf:Description>", setGood},
		"hidden prefix": {"<rdf:Description xmlns:xmpDM='urn:q'><d/></rdf:Description>",
			"<rdf:Description xmlns:xmpDM='urn:q'><d/><xmpDM1:good" + strings.Replace(dm, "xmpDM", "xmpDM1", 1) + ">True</xmpDM1:good></rdf:Description>", setGood},
		"typed node": {"<q:T xmlns:q='urn:q'" + dm + "><q:a/></q:T>",
			"<q:T xmlns:q='urn:q'" + dm + "><q:a/></q:T><rdf:Description rdf:about=\"\"><xmpDM:good" + dm + ">True</xmpDM:good></rdf:Description>", setGood},
		"CR alone": {"\r\t<rdf:Description q:a='1' xmlns:q='urn:q'/>\r",
			"\r\t<rdf:Description q:a='1' xmlns:q='urn:q'/>\r\t<rdf:Description rdf:about=\"\">\r\t\t<xmpDM:good" + dm + ">True</xmpDM:good>\r\t</rdf:Description>\r", setGood},
		"CR, first content": {"\r\t<rdf:Description" + dm + ">\r\t</rdf:Description>\r",
			"\r\t<rdf:Description" + dm + ">\r\t\t<xmpDM:good>True</xmpDM:good>\r\t</rdf:Description>\r", setGood},
		"empty tag": {"\n <rdf:Description xmlns:q='urn:q' rdf:about='uuid:&amp;' q:a='1'/>\n",
			"\n <rdf:Description xmlns:q='urn:q' rdf:about='uuid:&amp;' q:a='1'/>\n <rdf:Description rdf:about='uuid:&amp;'>\n  <xmpDM:good" + dm + ">True</xmpDM:good>\n </rdf:Description>\n", setGood},
		"fill an empty element": {`<rdf:Description><m:good xmlns:m="http://ns.adobe.com/xmp/1.0/DynamicMedia/" /></rdf:Description>`,
			`<rdf:Description><m:good xmlns:m="http://ns.adobe.com/xmp/1.0/DynamicMedia/" >True</m:good></rdf:Description>`, setGood},
		"several pieces": {`<rdf:Description` + dm + `><xmpDM:good> Fa<!-- a --><![CDATA[lse]]></xmpDM:good></rdf:Description>`,
			`<rdf:Description` + dm + `><xmpDM:good>True<!-- a --></xmpDM:good></rdf:Description>`, setGood},
		"remove an attribute": {"<rdf:Description" + dm + "\n  xmpDM:good = 'True'\n  xmpDM:scene='1'/>",
			"<rdf:Description" + dm + "\n  xmpDM:scene='1'/>", undo(setGood)},
		"remove, node stays": {"<rdf:Description" + dm + ">\n <xmpDM:good>True</xmpDM:good>\n</rdf:Description>",
			"<rdf:Description" + dm + ">\n</rdf:Description>", undo(setGood)},
		"remove, comment stays": {"<rdf:Description><!-- a -->\n <m:good xmlns:m='http://ns.adobe.com/xmp/1.0/DynamicMedia/'/></rdf:Description>",
			"<rdf:Description><!-- a --></rdf:Description>", undo(setGood)},
		"remove what is not there": {"<rdf:Description/>", "<rdf:Description/>", undo(setGood)},
	} {
		if got := apply(t, rdfOpen+c.in+"</rdf:RDF>", c.edit); got != rdfOpen+c.out+"</rdf:RDF>" {
			t.Errorf("%s:\n got %q\nwant %q", name, got, rdfOpen+c.out+"</rdf:RDF>")
		}
	}
}

// TestKeywords adds to and removes from lists in their own spelling.
func TestKeywords(t *testing.T) {
	const ns = ` xmlns:dc="http://purl.org/dc/elements/1.1/"`
	wrap := func(s string) string {
		return rdfOpen + "\n<rdf:Description" + ns + ">" + s + "</rdf:Description></rdf:RDF>"
	}
	for name, c := range map[string]struct {
		in, out     string
		add, remove []string
	}{
		"add": {"<dc:subject><rdf:Bag>\n\t<rdf:li>x</rdf:li>\n</rdf:Bag></dc:subject>",
			"<dc:subject><rdf:Bag>\n\t<rdf:li>x</rdf:li>\n\t<rdf:li>y</rdf:li>\n</rdf:Bag></dc:subject>", []string{"y", "x", "y"}, nil},
		"add to empty": {"\n <dc:subject>\n  <rdf:Bag/>\n </dc:subject>",
			"\n <dc:subject>\n  <rdf:Bag>\n   <rdf:li>y</rdf:li>\n  </rdf:Bag>\n </dc:subject>", []string{"y"}, nil},
		"add to sequence": {"<dc:subject><rdf:Seq></rdf:Seq></dc:subject>",
			"<dc:subject><rdf:Seq><rdf:li>y</rdf:li></rdf:Seq></dc:subject>", []string{"y"}, nil},
		"remove one": {"<dc:subject><rdf:Bag> <rdf:li>x</rdf:li> <rdf:li xml:lang='en'>y</rdf:li> <rdf:li>y</rdf:li> </rdf:Bag></dc:subject>",
			"<dc:subject><rdf:Bag> <rdf:li>x</rdf:li> <rdf:li xml:lang='en'>y</rdf:li> </rdf:Bag></dc:subject>", nil, []string{"y"}},
		"exchange": {"<dc:subject><rdf:Bag> <rdf:li>x</rdf:li></rdf:Bag></dc:subject>",
			"<dc:subject><rdf:Bag> <rdf:li>z</rdf:li></rdf:Bag></dc:subject>", []string{"z"}, []string{"x"}},
		"remove all": {" <dc:subject><rdf:Bag> <rdf:li>x</rdf:li></rdf:Bag></dc:subject> ", " ", nil, []string{"x"}},
		"remove all, comment": {"<dc:subject><rdf:Bag><!-- a --><rdf:li>x</rdf:li></rdf:Bag></dc:subject>",
			"<dc:subject><rdf:Bag><!-- a --></rdf:Bag></dc:subject>", nil, []string{"x"}},
		"items that are no text": {"<dc:subject><rdf:Bag><rdf:li rdf:parseType='Resource'><dc:a>x</dc:a></rdf:li></rdf:Bag></dc:subject>",
			"<dc:subject><rdf:Bag><rdf:li rdf:parseType='Resource'><dc:a>x</dc:a></rdf:li><rdf:li>x</rdf:li></rdf:Bag></dc:subject>", []string{"x"}, nil},
		"qualified items": {"<dc:subject><rdf:Bag><rdf:li rdf:parseType='Resource'><rdf:value>x</rdf:value><dc:a>q</dc:a></rdf:li></rdf:Bag></dc:subject>",
			"<dc:subject><rdf:Bag><rdf:li rdf:parseType='Resource'><rdf:value>x</rdf:value><dc:a>q</dc:a></rdf:li></rdf:Bag></dc:subject>", []string{"x"}, nil},
	} {
		e := Edit{NS: NSDC, Prefix: "dc", Name: "subject", AddToBag: c.add, RemoveFromBag: c.remove}
		if got := apply(t, wrap(c.in), e); got != wrap(c.out) {
			t.Errorf("%s:\n got %q\nwant %q", name, got, wrap(c.out))
		}
	}
}

// TestRefused: a property in a form that an edit does not fit leaves all as it is.
func TestRefused(t *testing.T) {
	rating := func(s string) string { return packet(`<rdf:Description rdf:about="">` + s + `</rdf:Description>`) }
	for name, c := range map[string]struct {
		in   string
		edit Edit
	}{
		"twice":             {packet(`<rdf:Description xmp:Rating="1"/><rdf:Description xmp:Rating="1"/>`), setRating},
		"twice, remove":     {rating(`<xmp:Rating>1</xmp:Rating><xmp:Rating>2</xmp:Rating>`), undo(setRating)},
		"structure":         {rating(`<xmp:Rating rdf:parseType="Resource"><dc:a/></xmp:Rating>`), setRating},
		"array":             {rating(`<xmp:Rating><rdf:Bag/></xmp:Rating>`), setRating},
		"literal":           {rating(`<xmp:Rating rdf:parseType="Literal">1</xmp:Rating>`), setRating},
		"node":              {rating(`<xmp:Rating rdf:nodeID="a"/>`), setRating},
		"list as text":      {rating(`<dc:subject>a, b</dc:subject>`), addAlbum},
		"list as attribute": {packet(`<rdf:Description dc:subject="a"/>`), addAlbum},
		"alternatives":      {rating(`<dc:subject><rdf:Alt/></dc:subject>`), addAlbum},
		"list elsewhere":    {rating(`<dc:subject rdf:nodeID="a"/>`), addAlbum},
		"control":           {rating(``), Edit{NS: NSXMP, Prefix: "xmp", Name: "Label", Value: "\x1b[0m"}},
		"not UTF-8":         {rating(``), Edit{NS: NSXMP, Prefix: "xmp", Name: "Label", Value: "\xff"}},
		"name":              {rating(``), Edit{NS: NSXMP, Prefix: "xmp", Name: "a b", Value: "1"}},
		"prefix":            {rating(``), Edit{NS: NSXMP, Prefix: "xmlx", Name: "a", Value: "1"}},
		"syntax":            {rating(``), Edit{NS: NSRDF, Prefix: "rdf", Name: "about", Value: "1"}},
		"two at once":       {rating(``), Edit{NS: NSXMP, Prefix: "xmp", Name: "a", Value: "1", Remove: true}},
		"back and forth":    {rating(``), Edit{NS: NSDC, Prefix: "dc", Name: "subject", AddToBag: []string{"a"}, RemoveFromBag: []string{"a"}}},
	} {
		out, err := mustParse(t, c.in).Apply([]Edit{setGood, c.edit})
		var refused *PropertyError
		if !errors.As(err, &refused) || out != nil {
			t.Errorf("%s: %s, %v", name, out, err)
		}
	}
	if _, err := mustParse(t, rating(``)).Apply([]Edit{setGood, setGood}); err == nil {
		t.Error("one property edited twice at once")
	}
}

// TestApplyKeepsEdits: Apply does not write to what it is given.
func TestApplyKeepsEdits(t *testing.T) {
	edits := []Edit{{NS: NSDC, Prefix: "dc", Name: "subject", AddToBag: []string{"a", "a", "b"}}}
	apply(t, documents["compact"], edits...)
	if want := []string{"a", "a", "b"}; !reflect.DeepEqual(edits[0].AddToBag, want) {
		t.Errorf("edits are now %q", edits[0].AddToBag)
	}
}

// TestNew pins the form of a fresh sidecar: XML declaration first (XMP Part 3,
// p. 7), x:xmpmeta, one rdf:RDF, rdf:about empty (ISO 16684-1 §7.3.3, §7.4).
func TestNew(t *testing.T) {
	d, err := New(Namespace{NSXMP, "xmp"}, Namespace{NSXMPDM, "xmpDM"})
	if err != nil {
		t.Fatal(err)
	}
	out, err := d.Apply([]Edit{setRating, setGood})
	if err != nil {
		t.Fatal(err)
	}
	const want = `<?xml version="1.0" encoding="UTF-8"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
 <rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
  <rdf:Description rdf:about=""
    xmlns:xmp="http://ns.adobe.com/xap/1.0/"
    xmlns:xmpDM="http://ns.adobe.com/xmp/1.0/DynamicMedia/">
   <xmp:Rating>1</xmp:Rating>
   <xmpDM:good>True</xmpDM:good>
  </rdf:Description>
 </rdf:RDF>
</x:xmpmeta>
`
	if string(out) != want {
		t.Errorf("got %s", out)
	}
}
