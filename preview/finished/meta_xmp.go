package finished

import (
	"slices"
	"strings"

	"garner/preview/exif"
	"garner/preview/xmp"
)

// Namespaces of XMP Part 1 §8, XMP Part 2, and CIPA DC-010.
const (
	nsMM     = "http://ns.adobe.com/xap/1.0/mm/"
	nsRef    = "http://ns.adobe.com/xap/1.0/sType/ResourceRef#"
	nsTIFF   = "http://ns.adobe.com/tiff/1.0/"
	nsExifEX = "http://cipa.jp/exif/1.0/"
	nsAux    = "http://ns.adobe.com/exif/1.0/aux/" // of XMP Part 2, before CIPA DC-010 had the same
)

// xmp takes what a packet says.
func (m *Meta) xmp(d *xmp.Doc) {
	p := packet{}
	for _, f := range d.Properties() {
		p[[2]string{f.NS, f.Name}] = f.Value // one that is there twice counts as its last
	}
	m.DocumentID = p.text(nsMM, "DocumentID")
	m.OriginalDocumentID = p.text(nsMM, "OriginalDocumentID")
	m.InstanceID = p.text(nsMM, "InstanceID")
	m.DerivedFrom = reference(p[[2]string{nsMM, "DerivedFrom"}])
	for _, v := range p[[2]string{nsMM, "Ingredients"}].Items {
		if r := reference(v); r != (Reference{}) && len(m.Ingredients) < maxSources {
			m.Ingredients = append(m.Ingredients, r)
			m.source(r.FilePath)
		}
	}
	m.source(m.DerivedFrom.FilePath, p.text(xmp.NSDC, "source"))

	m.Caption = p.text(xmp.NSDC, "description")
	m.Title = p.text(xmp.NSDC, "title")
	m.Creator = p.all(xmp.NSDC, "creator")
	m.Copyright = p.text(xmp.NSDC, "rights")
	m.Credit = p.text(xmp.NSPress, "Credit")
	for _, v := range p[[2]string{xmp.NSDC, "subject"}].Items {
		if s := strings.TrimSpace(v.Text); s != "" && len(m.Keywords) < maxKeywords {
			m.Keywords = append(m.Keywords, s)
		}
	}
	m.Software = p.text(xmp.NSXMP, "CreatorTool")
	setText(&m.Make, p.text(nsTIFF, "Make"))
	setText(&m.Model, p.text(nsTIFF, "Model"))
	for _, s := range []string{p.text(nsExifEX, "BodySerialNumber"), p.text(nsAux, "SerialNumber")} {
		if strings.Trim(s, "0") != "" { // zeros stand for a body without one
			setText(&m.Serial, s)
		}
	}
	for _, s := range []string{p.text(xmp.NSExif, "DateTimeOriginal"), p.text(xmp.NSPress, "DateCreated")} {
		if !m.Taken.Known() {
			m.Taken = xmpTime(s)
		}
	}
	m.GPS = m.GPS || p.text(xmp.NSExif, "GPSLatitude") != ""
}

// packet is the properties by name.
type packet map[[2]string]xmp.Value

// text is a simple value, the first of a list, or the text for everybody of a
// language alternative, which stands first.
func (p packet) text(ns, name string) string {
	v := p[[2]string{ns, name}]
	if len(v.Items) > 0 {
		v = v.Items[0]
	}
	if v.Kind != xmp.Text && v.Kind != xmp.URI || len(v.Text) > maxText {
		return ""
	}
	return strings.TrimSpace(v.Text)
}

// all is every text of a list in one, as Exif wants several names (CIPA DC-008 §4.6.4,
// Artist).
func (p packet) all(ns, name string) string {
	v := p[[2]string{ns, name}]
	if len(v.Items) == 0 {
		return p.text(ns, name)
	}
	var texts []string
	for _, item := range v.Items[:min(len(v.Items), maxSources)] {
		if s := strings.TrimSpace(item.Text); s != "" && !slices.Contains(texts, s) {
			texts = append(texts, s)
		}
	}
	if s := strings.Join(texts, "; "); len(s) <= maxText {
		return s
	}
	return p.text(ns, name)
}

// reference reads a ResourceRef.
func reference(v xmp.Value) Reference {
	var r Reference
	for _, f := range v.Fields {
		if f.NS != nsRef || f.Value.Kind != xmp.Text && f.Value.Kind != xmp.URI || len(f.Value.Text) > maxText {
			continue
		}
		switch f.Name {
		case "documentID":
			r.DocumentID = f.Value.Text
		case "originalDocumentID":
			r.OriginalDocumentID = f.Value.Text
		case "instanceID":
			r.InstanceID = f.Value.Text
		case "filePath":
			r.FilePath = f.Value.Text
		}
	}
	return r
}

// xmpTime reads a date of XMP Part 1 §8.2.1.2 that has a time of day.
func xmpTime(s string) exif.Time {
	const minutes = len("2006-01-02T15:04")
	if len(s) < minutes {
		return exif.Time{}
	}
	stamp, rest := s[:minutes], s[minutes:]
	seconds, digits := ":00", ""
	if len(rest) >= 3 && rest[0] == ':' {
		seconds, rest = rest[:3], rest[3:]
		if strings.HasPrefix(rest, ".") {
			n := 1
			for n < len(rest) && rest[n] >= '0' && rest[n] <= '9' {
				n++
			}
			digits, rest = rest[1:n], rest[n:]
		}
	}
	return exif.ParseTime(stamp+seconds, digits, rest)
}
