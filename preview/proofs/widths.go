package proofs

// helvetica are the widths of Helvetica's letters in WinAnsiEncoding, in
// thousandths of the size, from code 32 on (Adobe's font metrics of the core 14
// fonts, from memory; the tests compare them with a font made to the same widths).
// Codes without a letter show a bullet (ISO 32000-1, D.2, note 3).
var helvetica = [224]uint16{
	278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, // 20
	556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, // 30
	1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778, // 40
	667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556, // 50
	333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, // 60
	556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584, 350, // 70
	556, 350, 222, 556, 333, 1000, 556, 556, 333, 1000, 667, 333, 1000, 350, 611, 350, // 80
	350, 222, 222, 333, 333, 350, 556, 1000, 333, 1000, 500, 333, 944, 350, 500, 667, // 90
	278, 333, 556, 556, 556, 556, 260, 556, 333, 737, 370, 556, 584, 333, 737, 333, // A0
	400, 584, 333, 333, 333, 556, 537, 278, 333, 333, 365, 556, 834, 834, 834, 611, // B0
	667, 667, 667, 667, 667, 667, 1000, 722, 667, 667, 667, 667, 278, 278, 278, 278, // C0
	722, 722, 778, 778, 778, 778, 778, 584, 778, 722, 722, 722, 722, 667, 667, 611, // D0
	556, 556, 556, 556, 556, 556, 889, 500, 556, 556, 556, 556, 278, 278, 278, 278, // E0
	556, 556, 556, 556, 556, 556, 556, 584, 611, 556, 556, 556, 556, 500, 556, 500, // F0
}

// width is the length of a text in WinAnsiEncoding at a size, in points.
func width(codes []byte, size float64) float64 {
	sum := 0
	for _, c := range codes {
		if c >= 32 {
			sum += int(helvetica[c-32])
		}
	}
	return float64(sum) * size / 1000
}

// shorten cuts a text so that it is at most as long as room, with an ellipsis.
func shorten(codes []byte, size, room float64) []byte {
	if width(codes, size) <= room {
		return codes
	}
	const ellipsis = 0x85
	for n := len(codes) - 1; n > 0; n-- {
		if s := append(codes[:n:n], ellipsis); width(s, size) <= room {
			return s
		}
	}
	return []byte{ellipsis}
}
