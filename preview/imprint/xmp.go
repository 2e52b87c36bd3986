package imprint

import (
	"fmt"
	"strings"

	"garner/preview/exif"
	"garner/preview/xmp"
)

// This file writes the XMP packet of a file: ISO 16684-1 §7 for the form, XMP
// Part 3 §1.1.3 for its place in a JPEG. Nothing of the input's packet is in it but
// what Meta has: packets of editors carry their settings, a history, and who was
// where.

const (
	nsXMPMM  = "http://ns.adobe.com/xap/1.0/mm/"
	nsRights = "http://ns.adobe.com/xap/1.0/rights/"
	nsRef    = "http://ns.adobe.com/xap/1.0/sType/ResourceRef#"

	// maxPacket is what one segment takes; more would have to be split (§1.1.3.1).
	maxPacket = 65502
)

// packet returns the XMP of cleaned metadata; instance becomes its InstanceID.
func packet(m *Meta, instance string) ([]byte, error) {
	p := &packetWriter{}
	p.s(`<?xpacket begin="` + "\uFEFF" + `" id="W5M0MpCehiHzreSzNTczkc9d"?>` + "\n")
	p.s(`<x:xmpmeta xmlns:x="` + xmp.NSMeta + `">` + "\n " + `<rdf:RDF xmlns:rdf="` + xmp.NSRDF + `">` + "\n")
	p.s(`  <rdf:Description rdf:about=""`)
	for _, ns := range [][2]string{
		{"xmp", xmp.NSXMP}, {"xmpMM", nsXMPMM}, {"stRef", nsRef}, {"xmpRights", nsRights}, {"dc", xmp.NSDC}, {"press", xmp.NSPress},
	} {
		p.s("\n    xmlns:" + ns[0] + `="` + ns[1] + `"`)
	}
	p.s(">\n")
	p.text("xmpMM:DocumentID", m.Chain.ID())
	p.text("xmpMM:InstanceID", instance)
	p.text("xmpMM:OriginalDocumentID", m.Chain.Original())
	p.s(`   <xmpMM:DerivedFrom rdf:parseType="Resource">` + "\n")
	p.text(" stRef:documentID", m.Chain.Document())
	p.text(" stRef:instanceID", m.Chain.Instance())
	p.s("   </xmpMM:DerivedFrom>\n")
	p.text("dc:format", "image/jpeg")
	if m.Taken.Known() {
		p.text("xmp:CreateDate", isoTime(m.Taken))
		p.text("press:DateCreated", isoTime(m.Taken))
	}
	p.alt("dc:title", m.Title)
	p.alt("dc:description", m.Caption)
	p.list("dc:creator", "Seq", m.Creator)
	p.alt("dc:rights", m.Copyright)
	if m.Copyright != "" {
		p.text("xmpRights:Marked", "True")
	}
	p.text("press:Credit", m.Credit)
	p.list("dc:subject", "Bag", m.Keywords...)
	p.s("  </rdf:Description>\n </rdf:RDF>\n</x:xmpmeta>\n" + `<?xpacket end="r"?>`)
	if n := p.b.Len(); n > maxPacket {
		return nil, &MetaError{"XMP", n, maxPacket}
	}
	return []byte(p.b.String()), nil
}

type packetWriter struct{ b strings.Builder }

func (p *packetWriter) s(s string) { p.b.WriteString(s) }

var escaper = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;")

// text writes a simple property, nothing where there is no value. A blank before
// the name indents it.
func (p *packetWriter) text(name, value string) {
	if value == "" {
		return
	}
	name = strings.TrimLeft(name, " ")
	p.s("   <" + name + ">" + escaper.Replace(value) + "</" + name + ">\n")
}

// alt writes a text in the default language (§8.2.2.4).
func (p *packetWriter) alt(name, value string) {
	if value != "" {
		p.s("   <" + name + "><rdf:Alt><rdf:li xml:lang=\"x-default\">" + escaper.Replace(value) + "</rdf:li></rdf:Alt></" + name + ">\n")
	}
}

// list writes an array of the values that are not empty.
func (p *packetWriter) list(name, kind string, values ...string) {
	if len(values) == 0 || len(values) == 1 && values[0] == "" {
		return
	}
	p.s("   <" + name + "><rdf:" + kind + ">")
	for _, v := range values {
		p.s("<rdf:li>" + escaper.Replace(v) + "</rdf:li>")
	}
	p.s("</rdf:" + kind + "></" + name + ">\n")
}

// isoTime is a date of §8.2.1.2: sub-seconds as far as they are known, the zone
// only if it is.
func isoTime(t exif.Time) string {
	s := t.Wall.Format("2006-01-02T15:04:05")
	if d := subSeconds(t); d != "" {
		s += "." + d
	}
	if t.HasZone {
		s += zone(t)
	}
	return s
}

// subSeconds are the digits behind the second that are known.
func subSeconds(t exif.Time) string {
	n := min(max(t.Digits, 0), 9)
	return fmt.Sprintf("%09d", t.Wall.Nanosecond())[:n]
}

// zone is that of t as +hh:mm.
func zone(t exif.Time) string {
	z, sign := t.Zone, '+'
	if z < 0 {
		z, sign = -z, '-'
	}
	return fmt.Sprintf("%c%02d:%02d", sign, z/60%24, z%60)
}
