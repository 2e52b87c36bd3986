package raw_test

import (
	"fmt"
	"path/filepath"
	"testing"

	"garner/testdata/testneed"
)

// Module github.com/disintegration/imaging v1.6.2 has one picture in all eight
// stored orientations; the number in the name is the tag's value (TIFF 6.0,
// Orientation), 0 is a file without one.
func TestOrientationSet(t *testing.T) {
	dir := filepath.Join(testneed.Module(t, "github.com/disintegration/imaging"), "testdata")
	for k := range 9 {
		f, err := located(t, sample(t, filepath.Join(dir, fmt.Sprintf("orientation_%d.jpg", k))))
		if err != nil {
			t.Fatal(err)
		}
		if f.Kind != "JPEG" || f.Meta.Orientation != k {
			t.Errorf("orientation_%d: %s, %d", k, f.Kind, f.Meta.Orientation)
		}
	}
}

// Module github.com/bep/imagemeta v1.0.1 keeps the set f1 to f8, where 1 to 8 are
// the tag's values as well.
func TestOrientationOfTheLetterF(t *testing.T) {
	for k := 1; k <= 8; k++ {
		f, err := located(t, cutModule(t, fmt.Sprintf("goexif/f%d-exif.jpg", k)))
		if err != nil {
			t.Fatal(err)
		}
		if f.Meta.Orientation != k {
			t.Errorf("f%d: %d", k, f.Meta.Orientation)
		}
	}
}
