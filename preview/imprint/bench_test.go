package imprint

import (
	"testing"

	"garner/preview/icc"
)

// BenchmarkFile has what becomes of the planes of 24 MP for a lab, and of 2048
// pixels for a gallery, free and below a limit: written, and checked.
func BenchmarkFile(b *testing.B) {
	lab, online := picture(b, 6000, 4000, SheetOptions{}), picture(b, 2048, 1365, SheetOptions{Chroma: Half})
	o := Output{Quality: 95, Profile: icc.Encode(icc.SpaceSRGB), Meta: fullMeta()}
	b.Run("lab", func(b *testing.B) {
		for b.Loop() {
			write(b, lab, o)
		}
	})
	o.Quality = 85
	b.Run("online", func(b *testing.B) {
		for b.Loop() {
			write(b, online, o)
		}
	})
	o.Limit = len(write(b, online, o).Bytes) / 2
	b.Run("limit", func(b *testing.B) {
		for b.Loop() {
			write(b, online, o)
		}
	})
}

// BenchmarkStamp makes a line of text for a picture of 24 MP.
func BenchmarkStamp(b *testing.B) {
	p, err := NewStamper(Stamp{Text: "© Anna Grün Photography 2026", Size: 0.035, Margin: 0.025, Opacity: 0.8})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := p.Mark(6000, 4000, icc.SpaceSRGB); err != nil {
			b.Fatal(err)
		}
	}
}
