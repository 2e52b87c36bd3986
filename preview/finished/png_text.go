package finished

import (
	"bytes"
	"strings"
)

// pngText takes XMP and the texts of §11.3.3.
func (p *Picture) pngText(kind string, b []byte) {
	word, rest, ok := bytes.Cut(b, []byte{0})
	if !ok {
		return
	}
	key := string(word)
	packed := kind == "zTXt"
	switch {
	case kind == "zTXt" && len(rest) > 0:
		rest = rest[1:] // the method
	case kind == "iTXt" && len(rest) >= 2:
		packed = rest[0] == 1
		_, rest, _ = bytes.Cut(rest[2:], []byte{0}) // the language
		_, rest, ok = bytes.Cut(rest, []byte{0})    // the keyword in it
		if !ok {
			return
		}
	}
	isXMP := kind == "iTXt" && key == "XML:com.adobe.xmp" // XMP Part 3 §1.1.5
	most := maxText
	switch key {
	case "Title", "Author", "Description", "Copyright", "Software":
	default:
		if most = maxEmbedded; !isXMP {
			return
		}
	}
	// Of each the first counts, be it broken: unpacking many takes time.
	if _, seen := p.texts[key]; seen {
		return
	}
	if p.texts == nil {
		p.texts = map[string]string{}
	}
	p.texts[key] = ""
	if packed {
		var err error
		if rest, err = inflate(rest, most); err != nil {
			return
		}
	}
	if isXMP {
		p.XMP = rest
		return
	}
	if len(rest) > maxText {
		return
	}
	text := string(rest)
	if kind != "iTXt" {
		text = latin1(rest)
	}
	p.texts[key] = strings.TrimSpace(strings.ToValidUTF8(text, "\uFFFD"))
}
