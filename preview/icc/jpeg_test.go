package icc

import (
	"bytes"
	"errors"
	"slices"
	"testing"
)

func TestFromJPEG(t *testing.T) {
	profile := bytes.Repeat([]byte("0123456789abcdef"), 4)
	parts := embed(profile, 20)
	if len(parts) != 4 {
		t.Fatalf("%d parts", len(parts))
	}
	exif := segment(0xE1, []byte("Exif\x00\x00II*\x00"))
	mpf := segment(0xE2, []byte("MPF\x00II*\x00"))
	recounted := bytes.Clone(parts[1])
	recounted[4+13] = 5
	numbered := func(n byte) []byte {
		b := bytes.Clone(parts[1])
		b[4+12] = n
		return b
	}
	for _, c := range []struct {
		name   string
		src    []byte
		whole  bool
		broken bool
	}{
		{"one part", withSegments(exif, embed(profile, 1000)[0]), true, false},
		{"four parts", withSegments(append([][]byte{exif, mpf}, parts...)...), true, false},
		{"another order", withSegments(parts[2], parts[0], mpf, parts[3], parts[1]), true, false},
		{"fill bytes", withSegments([]byte{0xFF, 0xFF}, embed(profile, 1000)[0]), true, false},
		{"none", withSegments(exif, mpf), false, false},
		{"behind the first scan", append(withSegments(exif), embed(profile, 1000)[0]...), false, false},
		{"not a JPEG", parts[0], false, false},
		{"nothing", nil, false, false},
		{"one missing", withSegments(parts[0], parts[1], parts[3]), false, true},
		{"one twice", withSegments(parts[0], parts[1], parts[1], parts[2], parts[3]), false, true},
		{"part 0", withSegments(parts[0], numbered(0), parts[2], parts[3]), false, true},
		{"part 5 of 4", withSegments(parts[0], numbered(5), parts[2], parts[3]), false, true},
		{"counted differently", withSegments(parts[0], recounted, parts[2], parts[3]), false, true},
		{"cut in a segment", withSegments(parts[0], parts[1])[:40], false, true},
		{"no bytes in the part", withSegments(segment(0xE2, []byte("ICC_PROFILE\x00\x01\x01"))), false, false},
	} {
		got, err := FromJPEG(c.src)
		var format FormatError
		if bytes.Equal(got, profile) != c.whole || (got != nil) != c.whole || errors.As(err, &format) != c.broken || (err != nil) != c.broken {
			t.Errorf("%s: %d bytes, %v", c.name, len(got), err)
		}
	}
	huge := slices.Concat(embed(make([]byte, MaxProfile+1), 65519)...)
	var unsupported UnsupportedError
	if got, err := FromJPEG(withSegments(huge)); got != nil || !errors.As(err, &unsupported) {
		t.Errorf("a profile that is too long: %d bytes, %v", len(got), err)
	}
}

// FuzzParse takes any bytes for a profile: an error or finite numbers.
func FuzzParse(f *testing.F) {
	for _, s := range publishedSpaces() {
		w := s.writer()
		f.Add(w.bytes())
		f.Add(w.with("desc", descType("old")).with("rTRC", curvType(0, 1, 2, 65535)).with("gTRC", paraType(4, 2, 1, 0, 1, 0.1, 0, 0)).bytes())
		f.Add(w.bytes()[:300])
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		p, err := Parse(b)
		if (p == nil) == (err == nil) {
			t.Fatalf("profile %v, error %v", p != nil, err)
		}
		if p == nil {
			return
		}
		if len(p.Description) > MaxText {
			t.Fatalf("a description of %d bytes", len(p.Description))
		}
		for _, c := range p.Curves {
			for i, v := range c {
				if !(v >= 0 && v <= 1) {
					t.Fatalf("code %d is %v", i, v)
				}
			}
		}
		for _, row := range p.ToSRGB() {
			if sum := row[0] + row[1] + row[2]; !(sum > 0.999 && sum < 1.001) {
				t.Fatalf("white becomes %v", sum)
			}
			for _, v := range row {
				if !(v > -maxGain && v < maxGain) {
					t.Fatalf("a factor of %v", v)
				}
			}
		}
		p.IsSRGB()
		p.Convert([3]uint8{1, 128, 255})
	})
}

// FuzzFromJPEG takes any bytes for a JPEG: an error, none, or a bounded profile.
func FuzzFromJPEG(f *testing.F) {
	profile := publishedSpaces()[0].writer().bytes()
	f.Add(withSegments(embed(profile, 200)...))
	f.Add(withSegments(embed(profile, 60000)...))
	f.Fuzz(func(t *testing.T, b []byte) {
		p, err := FromJPEG(b)
		if err != nil && p != nil || len(p) > len(b) || len(p) > MaxProfile {
			t.Fatalf("%d bytes out of %d, %v", len(p), len(b), err)
		}
	})
}
