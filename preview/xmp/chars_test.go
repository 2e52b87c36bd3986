package xmp

import "testing"

// TestNameCharacters has the ends of the ranges of XML 1.0 (fifth edition),
// productions [4] and [4a]; the colon is left to namespaces.
func TestNameCharacters(t *testing.T) {
	for _, r := range "AZaz_\u00C0\u00D6\u00D8\u00F6\u00F8\u02FF\u0370\u037D\u037F\u1FFF\u200C\u200D\u2070\u218F\u2C00\u2FEF\u3001\uD7FF\uF900\uFDCF\uFDF0\uFFFD\U00010000\U000EFFFF\u2182" {
		if !isNameStart(r) || !isNamePart(r) {
			t.Errorf("%U cannot start a name", r)
		}
	}
	for _, r := range "-.09\u00B7\u0300\u036F\u203F\u2040" {
		if isNameStart(r) || !isNamePart(r) {
			t.Errorf("%U is in the wrong class", r)
		}
	}
	for _, r := range ":@[`{/ \u00B6\u00BF\u00D7\u00F7\u037E\u2000\u200B\u200E\u206F\u2190\u2BFF\u2FF0\u3000\uE000\uF8FF\uFDD0\uFDEF\U000F0000" {
		if isNamePart(r) {
			t.Errorf("%U can be in a name", r)
		}
	}
}

// TestCharacters has the ends of the ranges of production [2].
func TestCharacters(t *testing.T) {
	for _, r := range "\t\n\r \uD7FF\uE000\uFFFD\U00010000\U0010FFFF" {
		if !isChar(r) {
			t.Errorf("%U is refused", r)
		}
	}
	for _, r := range []rune{0, 8, 0x0B, 0x0C, 0x0E, 0x1F, 0xD800, 0xDFFF, 0xFFFE, 0xFFFF, 0x110000, -1} {
		if isChar(r) {
			t.Errorf("%U is allowed", r)
		}
	}
}

// TestReferences: XML 1.0 §4.1 and §4.6.
func TestReferences(t *testing.T) {
	for in, want := range map[string]string{
		"&lt;": "<", "&gt;": ">", "&amp;": "&", "&apos;": "'", "&quot;": `"`,
		"&#65;": "A", "&#x41;": "A", "&#x1F600;": "😀", "&#x1f600;": "😀", "&#0065;": "A", "&#9;": "\t",
	} {
		if got, n := reference(in + "rest"); got != want || n != len(in) {
			t.Errorf("%s: %q, %d", in, got, n)
		}
	}
	for _, in := range []string{"&", "&;", "&#;", "&#x;", "&LT;", "&nbsp;", "&lt", "& lt;", "&#X41;", "&#x+41;", "&#-1;", "&#1_0;",
		"&#x0;", "&#11;", "&#xFFFE;", "&#xDFFF;", "&#1114112;", "&#99999999999;", "&#00000000000000065;"} {
		if got, n := reference(in); n != 0 {
			t.Errorf("%s: %q, %d", in, got, n)
		}
	}
}

// TestLineEnds: XML 1.0 §2.11 for text, §3.3.3 for attributes.
func TestLineEnds(t *testing.T) {
	const in = "a\r\nb\rc\nd\te&#13;&#10;&#9;f"
	if got := unescape(in, false); got != "a\nb\nc\nd\te\r\n\tf" {
		t.Errorf("text: %q", got)
	}
	if got := unescape(in, true); got != "a b c d e\r\n\tf" {
		t.Errorf("attribute: %q", got)
	}
}

// TestDetect has the table of XML 1.0, Appendix F, as far as XMP allows it.
func TestDetect(t *testing.T) {
	for in, want := range map[string]encoding{
		"\x00\x00\xFE\xFF": utf32BE, "\xFF\xFE\x00\x00": utf32LE, "\xFE\xFF\x00<": utf16BE, "\xFF\xFE<\x00": utf16LE, "\xEF\xBB\xBF<": utf8Enc,
		"\x00\x00\x00<": utf32BE, "<\x00\x00\x00": utf32LE, "\x00<\x00?": utf16BE, "<\x00?\x00": utf16LE, "<?xm": utf8Enc,
		"\x00\n\x00<": utf16BE, "": utf8Enc, "<": utf8Enc, "\xFE\xFF": utf16BE, "<\x00": utf16LE,
	} {
		if got := detect([]byte(in)); got != want {
			t.Errorf("%q: encoding %d, want %d", in, got, want)
		}
	}
}
