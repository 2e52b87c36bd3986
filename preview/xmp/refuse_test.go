package xmp

import (
	"errors"
	"strings"
	"testing"
)

const rdfOpen = `<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">`

// TestMalformed has one case for each well-formedness rule of XML 1.0 and of
// "Namespaces in XML 1.0" that the tokenizer holds up.
func TestMalformed(t *testing.T) {
	for name, s := range map[string]string{
		"empty":                   "",
		"blank":                   " \n",
		"no RDF":                  `<a/>`,
		"text before":             "x" + rdfOpen + "</rdf:RDF>",
		"text after":              rdfOpen + "</rdf:RDF>x",
		"two documents":           rdfOpen + "</rdf:RDF>" + rdfOpen + "</rdf:RDF>",
		"open":                    rdfOpen,
		"wrong end":               rdfOpen + "</rdf:rdf>",
		"end alone":               "</a>",
		"attribute twice":         rdfOpen + `<a b="1" b="2"/></rdf:RDF>`,
		"attribute twice by name": rdfOpen + `<a xmlns:p="u" xmlns:q="u" p:b="1" q:b="2"/></rdf:RDF>`,
		"declared twice":          rdfOpen + `<a xmlns="u" xmlns="v"/></rdf:RDF>`,
		"many attributes twice":   rdfOpen + `<a b="" c="" d="" e="" f="" g="" h="" i="" j="" b=""/></rdf:RDF>`,
		"no quotes":               rdfOpen + `<a b=1/></rdf:RDF>`,
		"no space":                rdfOpen + `<a b="1"c="2"/></rdf:RDF>`,
		"open quote":              rdfOpen + `<a b="1/></rdf:RDF>`,
		"less in value":           rdfOpen + `<a b="<"/></rdf:RDF>`,
		"unbound prefix":          rdfOpen + `<q:a/></rdf:RDF>`,
		"unbound attribute":       rdfOpen + `<a q:b=""/></rdf:RDF>`,
		"prefix out of scope":     rdfOpen + `<a xmlns:q="u"/><q:b/></rdf:RDF>`,
		"prefix of a sibling":     rdfOpen + `<a xmlns:q="u"></a><q:b/></rdf:RDF>`,
		"undeclared prefix":       rdfOpen + `<a xmlns:q=""/></rdf:RDF>`,
		"xml rebound":             rdfOpen + `<a xmlns:xml="u"/></rdf:RDF>`,
		"xmlns bound":             rdfOpen + `<a xmlns:xmlns="u"/></rdf:RDF>`,
		"element of xmlns":        rdfOpen + `<xmlns:a/></rdf:RDF>`,
		"two colons":              rdfOpen + `<rdf:a:b/></rdf:RDF>`,
		"colon first":             rdfOpen + `<:a/></rdf:RDF>`,
		"name":                    rdfOpen + `<1/></rdf:RDF>`,
		"entity":                  rdfOpen + `&x;</rdf:RDF>`,
		"entity in value":         rdfOpen + `<a b="&x;"/></rdf:RDF>`,
		"ampersand":               rdfOpen + `a & b</rdf:RDF>`,
		"reference to NUL":        rdfOpen + `&#0;</rdf:RDF>`,
		"reference to surrogate":  rdfOpen + `&#xD800;</rdf:RDF>`,
		"reference too large":     rdfOpen + `&#x110000;</rdf:RDF>`,
		"signed reference":        rdfOpen + `&#+65;</rdf:RDF>`,
		"control":                 rdfOpen + "\x01</rdf:RDF>",
		"control in value":        rdfOpen + "<a b=\"\x01\"/></rdf:RDF>",
		"control in comment":      rdfOpen + "<!--\x01--></rdf:RDF>",
		"control in CDATA":        rdfOpen + "<![CDATA[\x01]]></rdf:RDF>",
		"NUL inside":              rdfOpen + "\x00</rdf:RDF>",
		"markup alone":            rdfOpen + "<!ENTITY a 'b'></rdf:RDF>",
		"comment dashes":          rdfOpen + "<!-- a -- b --></rdf:RDF>",
		"comment open":            rdfOpen + "<!-- a",
		"CDATA open":              rdfOpen + "<![CDATA[ a",
		"CDATA outside":           "<![CDATA[]]>" + rdfOpen + "</rdf:RDF>",
		"CDATA end in text":       rdfOpen + "]]></rdf:RDF>",
		"instruction open":        rdfOpen + "<?a",
		"instruction name":        rdfOpen + "<? a?></rdf:RDF>",
		"instruction short":       "<?>" + rdfOpen + "</rdf:RDF>",
		"late declaration":        " <?xml version='1.0'?>" + rdfOpen + "</rdf:RDF>",
		"declaration open":        "<?xml version='1.0'",
		"declaration empty":       "<?xml ?>" + rdfOpen + "</rdf:RDF>",
		"UTF-8":                   rdfOpen + "\xff</rdf:RDF>",
		"overlong UTF-8":          rdfOpen + "\xc0\xbc</rdf:RDF>",
		"surrogate alone":         "\xFE\xFF\xD8\x00\x00<",
		"half a unit":             "\xFE\xFF\x00",
		"UTF-32 too large":        "\x00\x00\xFE\xFF\x00\x11\x00\x00",
	} {
		d, err := Parse([]byte(s))
		var format *FormatError
		if !errors.As(err, &format) || d != nil {
			t.Errorf("%s: %v", name, err)
		} else if format.Offset < 0 || format.Offset > int64(len(s)) {
			t.Errorf("%s: offset %d of %d", name, format.Offset, len(s))
		}
	}
}

func TestUnsupported(t *testing.T) {
	deep := strings.Repeat("<a>", maxDepth+1)
	for name, s := range map[string]string{
		// The well-known bomb of nested entities; without a DTD it cannot be built.
		"entity bomb": `<?xml version="1.0"?><!DOCTYPE a [<!ENTITY a "lol"><!ENTITY b "&a;&a;&a;&a;">]>` + rdfOpen + `&b;</rdf:RDF>`,
		"doctype":     `<!DOCTYPE rdf:RDF>` + rdfOpen + `</rdf:RDF>`,
		"depth":       rdfOpen + deep,
		"elements":    rdfOpen + strings.Repeat("<a/>", maxTokens),
		"attributes":  rdfOpen + "<a " + strings.Repeat(`b="" `, maxTokens) + "/></rdf:RDF>",
		"size":        strings.Repeat(" ", MaxSize+1),
		"encoding":    `<?xml version="1.0" encoding="ISO-8859-1"?>` + rdfOpen + `</rdf:RDF>`,
		"mislabelled": `<?xml version="1.0" encoding="UTF-16"?>` + rdfOpen + `</rdf:RDF>`,
		"version":     `<?xml version="1.1"?>` + rdfOpen + `</rdf:RDF>`,
		"two RDF":     `<a>` + rdfOpen + `</rdf:RDF>` + rdfOpen + `</rdf:RDF></a>`,
		"two resources": rdfOpen + `<rdf:Description rdf:about="uuid:1"/><rdf:Description rdf:about=""/>` +
			`<rdf:Description rdf:about="uuid:2"/></rdf:RDF>`,
	} {
		d, err := Parse([]byte(s))
		var unsupported *UnsupportedError
		if !errors.As(err, &unsupported) || d != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestOffsets: errors point at the byte of the input, in any encoding.
func TestOffsets(t *testing.T) {
	const s = rdfOpen + "é😀<q:a/></rdf:RDF>"
	lead := int64(len(rdfOpen))
	for _, c := range []struct {
		enc  encoding
		want int64
	}{
		{utf8Enc, lead + 2 + 4 + int64(len("<q:a/>"))},
		{utf16BE, 2*lead + 2 + 4 + 2*int64(len("<q:a/>"))},
		{utf32LE, 4 * (lead + 2 + int64(len("<q:a/>")))},
	} {
		_, err := Parse(c.enc.encode(s))
		var format *FormatError
		if !errors.As(err, &format) || format.Offset != c.want {
			t.Errorf("encoding %d: %v, want offset %d", c.enc, err, c.want)
		}
	}
}

// TestTolerated: found in real files, and harmless.
func TestTolerated(t *testing.T) {
	for name, s := range map[string]string{
		"control in instruction": "<?xpacket begin=\"\x1a\" id=\"x\"?>" + rdfOpen + "</rdf:RDF>",
		"NUL padding":            rdfOpen + "</rdf:RDF>\n\x00\x00",
		"blank before":           "\n" + rdfOpen + "</rdf:RDF>",
		"mark":                   "\uFEFF" + rdfOpen + "</rdf:RDF>",
		"unqualified about":      rdfOpen + `<rdf:Description about=""/></rdf:RDF>`,
		"declaration":            `<?xml version='1.0' standalone = "yes" encoding = 'utf-8' ?>` + rdfOpen + "</rdf:RDF>",
	} {
		d, err := Parse([]byte(s))
		if err != nil {
			t.Errorf("%s: %v", name, err)
		} else if out, err := d.Apply(nil); err != nil || string(out) != s {
			t.Errorf("%s: %q, %v", name, out, err)
		}
	}
}
