package small

import (
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"strings"

	"garner/preview/exif"
	"garner/preview/imprint"
	"garner/preview/xmp"
)

// This file writes and reads the XMP packet: ISO 16684-1 §7 for the form, XMP Part 3
// §1.1.3 for its place in a JPEG.

const (
	exifID = "Exif\x00\x00"
	xmpID  = "http://ns.adobe.com/xap/1.0/\x00"
	nsMM   = "http://ns.adobe.com/xap/1.0/mm/"
	nsRef  = "http://ns.adobe.com/xap/1.0/sType/ResourceRef#"

	// maxPacket is what one segment takes; more would have to be split (§1.1.3.1).
	maxPacket = 65502
)

// packet is what the XMP says: of the original, and of the picture behind it.
type packet struct {
	Original
	rest    int64             // bytes from the end of the segment to the end of the file
	restSum [sha256.Size]byte // of these
}

// bytes returns the packet. In the chain of documents (§8.6 and Annex A) a small
// picture is a rendition of its original.
func (p *packet) bytes() ([]byte, error) {
	b, err := p.with(imprint.InstanceID(make([]byte, sha256.Size)))
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256(b) // the sum of the picture is in it
	return p.with(imprint.InstanceID(sum[:]))
}

func (p *packet) with(instance string) ([]byte, error) {
	set := "small"
	if p.LongEdge > 0 {
		set = fmt.Sprintf("small %d", p.LongEdge)
	}
	chain := imprint.Chain{Source: p.Sum, Set: set, DocumentID: p.DocumentID, InstanceID: p.InstanceID, OriginalDocumentID: p.OriginalDocumentID}

	w := &strings.Builder{}
	w.WriteString(`<?xpacket begin="` + "\uFEFF" + `" id="W5M0MpCehiHzreSzNTczkc9d"?>` + "\n")
	w.WriteString(`<x:xmpmeta xmlns:x="` + xmp.NSMeta + `">` + "\n " + `<rdf:RDF xmlns:rdf="` + xmp.NSRDF + `">` + "\n")
	w.WriteString(`  <rdf:Description rdf:about=""`)
	for _, ns := range [][2]string{{"xmp", xmp.NSXMP}, {"xmpMM", nsMM}, {"stRef", nsRef}, {"dc", xmp.NSDC}, {"garner", NS}} {
		w.WriteString("\n    xmlns:" + ns[0] + `="` + ns[1] + `"`)
	}
	w.WriteString(">\n")
	property(w, "xmpMM:DocumentID", chain.ID())
	property(w, "xmpMM:InstanceID", instance)
	property(w, "xmpMM:OriginalDocumentID", chain.Original())
	w.WriteString(`   <xmpMM:DerivedFrom rdf:parseType="Resource">` + "\n")
	property(w, "stRef:documentID", chain.Document())
	property(w, "stRef:instanceID", chain.Instance())
	w.WriteString("   </xmpMM:DerivedFrom>\n")
	property(w, "dc:format", "image/jpeg")
	property(w, "xmp:CreateDate", date(p.Corrected))
	for _, f := range p.fields() {
		if s := spell(f.value); plain(s) {
			property(w, "garner:"+f.name, s)
		} else {
			property(w, "garner:"+f.name+inBase64, base64.StdEncoding.EncodeToString([]byte(s)))
		}
	}
	w.WriteString("  </rdf:Description>\n </rdf:RDF>\n</x:xmpmeta>\n" + `<?xpacket end="r"?>`)
	if w.Len() > maxPacket {
		return nil, fmt.Errorf("what is to be said of the original has %d bytes; a JPEG has room for %d", w.Len(), maxPacket)
	}
	return []byte(w.String()), nil
}

// inBase64 ends the name of a property whose text XML cannot carry, such as a path
// that is not UTF-8.
const inBase64 = "Base64"

var escaper = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;")

// property writes a simple property, nothing where there is no value.
func property(w *strings.Builder, name, value string) {
	if value != "" {
		w.WriteString("   <" + name + ">" + escaper.Replace(value) + "</" + name + ">\n")
	}
}

// parsePacket undoes bytes; false for the packet of any other file.
func parsePacket(b []byte) (p packet, ok bool) {
	doc, err := xmp.Parse(b)
	if err != nil {
		return packet{}, false
	}
	p.Meta = exif.NewMeta()
	for _, f := range p.fields() {
		s, ok := doc.Get(NS, f.name)
		if !ok {
			if s, ok = doc.Get(NS, f.name+inBase64); ok {
				if s, err = unbase64(s); err != nil {
					return packet{}, false
				}
			}
		}
		if s != "" && parse(f.value, s) != nil {
			return packet{}, false
		}
	}
	m := &p.Meta
	inRange := m.Orientation >= 0 && m.Orientation <= 8 && m.Rating >= -1 && m.Rating <= 5 && m.Width >= 0 && m.Height >= 0 && m.ISO >= 0 && p.LongEdge >= 0
	return p, inRange && p.sound() && p.rest > 0
}
