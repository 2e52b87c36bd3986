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
	if packed {
		most := maxText
		if isXMP {
			most = maxEmbedded
		}
		var err error
		if rest, err = inflate(rest, most); err != nil {
			return
		}
	}
	if isXMP {
		if p.XMP == nil {
			p.XMP = rest
		}
		return
	}
	if len(rest) > maxText {
		return
	}
	text := string(rest)
	if kind != "iTXt" {
		text = latin1(rest)
	}
	text = strings.TrimSpace(strings.ToValidUTF8(text, "\uFFFD"))
	switch key {
	case "Title", "Author", "Description", "Copyright", "Software":
		if p.texts == nil {
			p.texts = map[string]string{}
		}
		p.texts[key] = text
	}
}
