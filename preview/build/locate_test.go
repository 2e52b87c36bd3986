package build_test

import (
	"bytes"
	"testing"

	"garner/preview/exif"
	"garner/preview/raw"
)

// The project's own reader must find in every layout what was put there.
func TestLocateFindsWhatWasBuilt(t *testing.T) {
	kinds := map[string]raw.Kind{"DNG": "DNG", "CR3": "CR3", "RAF": "RAF", "JPEG": "JPEG"}
	for _, l := range layouts {
		t.Run(l.name, func(t *testing.T) {
			p := pictures(t)
			b, err := l.write(exposure(), p)
			if err != nil {
				t.Fatal(err)
			}
			f, err := raw.Locate(bytes.NewReader(b), int64(len(b)))
			if err != nil {
				t.Fatal(err)
			}
			if want := kinds[l.fileType]; want != "" && f.Kind != want {
				t.Errorf("kind is %s, want %s", f.Kind, want)
			}
			if len(f.Problems) > 0 {
				t.Errorf("problems: %v", f.Problems)
			}
			found := map[int][]byte{}
			for _, v := range f.Previews {
				if !v.Whole {
					t.Errorf("%dx%d at %d is not whole", v.Width, v.Height, v.Offset)
				}
				found[v.Width] = b[v.Offset : v.Offset+v.Length]
			}
			for width, pic := range map[int][]byte{600: p.Full, 324: p.Screen, 160: p.Thumb} {
				got, ok := found[width]
				switch {
				case !ok && (width == 324 && (l.fileType == "RAF" || l.fileType == "JPEG") || width == 160 && l.fileType == "NEF"):
					// The layout has no place for this size.
				case !ok:
					t.Errorf("the picture of width %d was not found", width)
				case !bytes.HasSuffix(got, pic[2:]):
					t.Errorf("the picture of width %d has other bytes", width)
				}
			}
			checkMeta(t, f.Meta)
		})
	}
}

func checkMeta(t *testing.T, m exif.Meta) {
	t.Helper()
	s := exposure()
	if m.Make != s.Make || m.Model != s.Model || m.Serial != s.Serial || m.Orientation != s.Orientation {
		t.Errorf("body is %q %q %q, orientation %d", m.Make, m.Model, m.Serial, m.Orientation)
	}
	if !m.Taken.Wall.Equal(s.Taken.Wall) || m.Taken.Digits != 2 || !m.Taken.HasZone || m.Taken.Zone != -150 {
		t.Errorf("taken %+v, want %+v", m.Taken, s.Taken)
	}
	if m.ISO != 3200 || m.Seconds != 0.004 || m.FNumber != 2.8 || m.Flash != exif.FlashFired || m.FocalLength != 85 {
		t.Errorf("exposure is %g s, f/%g, ISO %d, flash %d, %g mm", m.Seconds, m.FNumber, m.ISO, m.Flash, m.FocalLength)
	}
	if m.Bias == nil || *m.Bias > -0.33 || *m.Bias < -0.34 {
		t.Errorf("bias is %v, want -1/3", m.Bias)
	}
	if (m.Subject != exif.Area{X: 301, Y: 142, W: 80, H: 60, Given: true}) {
		t.Errorf("subject area is %+v", m.Subject)
	}
	if m.Rating != 4 || m.Counter != 73210 || m.Lens != s.Lens || m.UniqueID != s.UniqueID {
		t.Errorf("rating %d, counter %d, lens %q, id %q", m.Rating, m.Counter, m.Lens, m.UniqueID)
	}
}

// A file cut off behind its directories still says what it is about, and no
// preview of it counts as whole.
func TestLocateOnACutFile(t *testing.T) {
	for _, l := range layouts[:1] {
		b, err := l.write(exposure(), pictures(t))
		if err != nil {
			t.Fatal(err)
		}
		b = b[:bytes.Index(b, []byte{0xFF, 0xD8, 0xFF})+40]
		f, err := raw.Locate(bytes.NewReader(b), int64(len(b)))
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range f.Previews {
			if v.Whole {
				t.Errorf("a preview at %d+%d is called whole in a file of %d bytes", v.Offset, v.Length, len(b))
			}
		}
		checkMeta(t, f.Meta)
	}
}
