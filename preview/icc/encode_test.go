package icc

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"garner/testdata/testneed"
)

// The tags that a display profile of curves and a matrix must have (ICC.1:2001-04
// clause 6.3.1.2), in their place and of their type.
func TestEncodedProfiles(t *testing.T) {
	for _, s := range []Space{SpaceSRGB, SpaceDisplayP3, SpaceAdobeRGB} {
		b := Encode(s)
		if len(b) > 1024 || len(b)%4 != 0 || !bytes.Equal(b, Encode(s)) {
			t.Errorf("%v: %d bytes, the same twice: %v", s, len(b), bytes.Equal(b, Encode(s)))
		}
		p := parsed(t, b)
		if p.Description != s.String() || p.IsSRGB() != (s == SpaceSRGB) {
			t.Errorf("%v: %q, sRGB: %v", s, p.Description, p.IsSRGB())
		}
		tags, err := open(b)
		if err != nil {
			t.Fatal(err)
		}
		for signature, kind := range map[string]string{"desc": "desc", "cprt": "text", "wtpt": "XYZ ", "rXYZ": "XYZ ", "gXYZ": "XYZ ", "bXYZ": "XYZ ", "rTRC": "curv", "gTRC": "curv", "bTRC": "curv"} {
			if data := tags.find(signature); len(data) < 12 || string(data[:4]) != kind || string(data[4:8]) != "\x00\x00\x00\x00" {
				t.Errorf("%v: %s is %q", s, signature, data)
			}
		}
		var sum [3]float64
		for _, c := range []string{"rXYZ", "gXYZ", "bXYZ"} {
			v, err := number(tags.find(c))
			if err != nil {
				t.Fatal(err)
			}
			for i := range sum {
				sum[i] += v[i]
			}
		}
		if w, err := number(tags.find("wtpt")); err != nil || sum != w {
			t.Errorf("%v: the primaries add up to %v, white is %v", s, sum, w)
		}
	}
}

// Little CMS takes the profiles for what they are: every code of 8 bits of sRGB stays,
// and colours of others become what the published numbers give.
func TestEncodedForLittleCMS(t *testing.T) {
	tool := testneed.Tool(t, "transicc")
	var src []uint16
	for i := range 256 {
		v := uint16(i) * 257
		src = append(src, v, v, v, v, 65535-v, 0, 0, v, 65535-v)
	}
	for _, s := range []Space{SpaceSRGB, SpaceDisplayP3, SpaceAdobeRGB} {
		path := filepath.Join(t.TempDir(), "own.icc")
		if err := os.WriteFile(path, Encode(s), 0o600); err != nil {
			t.Fatal(err)
		}
		want := reference(t, tool, path, "*sRGB", src, 3, "-t1")
		lin := make([]float32, len(src))
		converter(t, nil, 3, SpaceSRGB, Options{Assume: s}).Linear(lin, src)
		if mean, worst, at := difference(lin, want, SpaceSRGB); worst > 0.06 {
			t.Errorf("%v: mean %.4f, max %.4f for %v", s, mean, worst, src[3*at:][:3])
		} else {
			t.Logf("%v: mean %.4f, max %.4f", s, mean, worst)
		}
		if s != SpaceSRGB {
			continue
		}
		for i, w := range want {
			for k, v := range w {
				if d := v - float64(src[3*i+k])/257; d < -0.1 || d > 0.1 { // the primaries have sixteen bits
					t.Fatalf("%v becomes %v", src[3*i:][:3], w)
				}
			}
		}
	}
}

func TestEncodedForExifTool(t *testing.T) {
	tool := testneed.Tool(t, "exiftool")
	for _, s := range []Space{SpaceSRGB, SpaceDisplayP3, SpaceAdobeRGB} {
		path := filepath.Join(t.TempDir(), "own.icc")
		if err := os.WriteFile(path, Encode(s), 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command(tool, "-s3", "-ProfileDescription", "-ProfileClass", "-ProfileVersion", "-ColorSpaceData", "-ProfileConnectionSpace", "-ProfileDateTime", "-ProfileCopyright", "-Warning", "-Error", path).CombinedOutput()
		want := s.String() + "\nDisplay Device Profile\n2.4.0\nRGB\nXYZ\n2026:01:01 00:00:00\nNo copyright is claimed.\n"
		if err != nil || string(out) != want {
			t.Errorf("%v: %v: %q, want %q", s, err, out, want)
		}
	}
}
