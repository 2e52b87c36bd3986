package raw_test

import (
	"os"
	"path/filepath"
	"testing"

	"garner/preview/raw"
	"garner/testdata/testneed"
)

// BenchmarkLocate reads real files from a warm page cache. The budget is 0.3 ms.
func BenchmarkLocate(b *testing.B) {
	dir := filepath.Join(testneed.Module(b, "github.com/evanoberholster/imagemeta"), "testImages")
	for _, name := range []string{"NEF.exif", "ARW.exif", "CR2.exif", "JPEG.jpg"} {
		b.Run(name, func(b *testing.B) {
			f, err := os.Open(filepath.Join(dir, name))
			if err != nil {
				b.Fatal(err)
			}
			defer f.Close()
			st, err := f.Stat()
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := raw.Locate(f, st.Size()); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
