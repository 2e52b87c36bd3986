package measure_test

import (
	"bytes"
	"context"
	"testing"

	"garner/preview"
	"garner/preview/measure"
	"garner/preview/pix"
	"garner/preview/raw"
)

// The largest JPEG of a real raw file, 6000x4000: opening it (index and small picture),
// and measuring twelve places of it.
func BenchmarkFrame(b *testing.B) {
	src, p := embedded(b, 4)
	open := func() *preview.Detail {
		d, err := preview.OpenDetail(context.Background(), bytes.NewReader(src), []raw.Preview{p}, preview.View{Width: 6016, Height: 4016}, nil)
		if err != nil {
			b.Fatal(err)
		}
		return d
	}
	b.Run("open", func(b *testing.B) {
		for b.Loop() {
			open()
		}
	})
	d := open()
	b.Run("focus", func(b *testing.B) {
		for b.Loop() {
			spots, err := measure.FocusOf(context.Background(), d)
			if err != nil || len(spots) != measure.MaxSpots {
				b.Fatal(len(spots), err)
			}
		}
	})
	m := photograph(b, 0)
	b.Run("light of 1920 pixels", func(b *testing.B) {
		for b.Loop() {
			pix.Clip(m)
		}
	})
}
