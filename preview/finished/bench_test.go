package finished_test

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"garner/preview/finished"
)

// BenchmarkRows decodes the pictures of the folder that GARNER_PICTURES names, as
// DEVELOPERS.md lists them; without it there is nothing to measure.
func BenchmarkRows(b *testing.B) {
	files, _ := filepath.Glob(filepath.Join(os.Getenv("GARNER_PICTURES"), "*"))
	if os.Getenv("GARNER_PICTURES") == "" || len(files) == 0 {
		b.Skip("needs GARNER_PICTURES, a folder of pictures")
	}
	for _, f := range files {
		src, err := os.ReadFile(f)
		if err != nil {
			continue
		}
		p, err := finished.Open(bytes.NewReader(src), int64(len(src)))
		if err != nil {
			continue
		}
		b.Run(filepath.Base(f), func(b *testing.B) {
			b.ReportAllocs()
			for range b.N {
				if err := p.Rows(context.Background(), func(int, []uint16) error { return nil }); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(filepath.Base(f)+" planes", func(b *testing.B) {
			for range b.N {
				if _, ok, err := p.Planes(context.Background()); err != nil || !ok {
					b.Skip(err)
				}
			}
		})
	}
}
