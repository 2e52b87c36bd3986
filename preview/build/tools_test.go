package build_test

import (
	"bytes"
	"encoding/json"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"garner/testdata/testneed"
)

// exiftool's own table of tags is the outside source of these two tests.

func TestExiftoolReadsEveryField(t *testing.T) {
	tool := testneed.Tool(t, "exiftool")
	want := map[string]any{
		"Make": "Varnholt", "Model": "Varnholt V6", "SerialNumber": "00412077", "Orientation": 6.0,
		"SubSecDateTimeOriginal": "2026:06:13 14:02:11.07-02:30", "ExposureTime": 0.004, "FNumber": 2.8, "ISO": 3200.0,
		"ExposureCompensation": -0.3333333333, "Flash": 9.0, "ExposureMode": 2.0, "FocalLength": 85.0,
		"LensModel": "Varnholt 85 mm f/1.8", "SubjectArea": "301 142 80 60", "ImageNumber": 73210.0, "Rating": 4.0,
		"ImageUniqueID": "0123456789abcdef0123456789abcdef", "ColorSpace": 1.0,
	}
	for i, l := range layouts {
		t.Run(l.name, func(t *testing.T) {
			name := written(t, t.TempDir(), i)
			out, err := exec.Command(tool, "-json", "-n", "-validate", "-warning", "-a", name).Output()
			if err != nil {
				t.Fatal(err)
			}
			var all []map[string]any
			if err := json.Unmarshal(out, &all); err != nil {
				t.Fatal(err)
			}
			// -validate and -warning alone restrict the output; read the rest apart.
			for key, v := range all[0] {
				text, ok := v.(string)
				if key == "Warning" && ok && !strings.HasPrefix(text, "[minor] Non-standard") {
					t.Errorf("exiftool warns: %s", text)
				}
			}
			out, err = exec.Command(tool, "-json", "-n", name).Output()
			if err != nil {
				t.Fatal(err)
			}
			if err := json.Unmarshal(out, &all); err != nil {
				t.Fatal(err)
			}
			got := all[0]
			if got["FileType"] != l.fileType {
				t.Errorf("file type is %v, want %s", got["FileType"], l.fileType)
			}
			for key, w := range want {
				g := got[key]
				if key == "SerialNumber" {
					g = strings.TrimLeft(text(g), "0") // json output makes numbers of digits
					w = strings.TrimLeft(text(w), "0")
				}
				if !same(g, w) {
					t.Errorf("%s is %v, want %v", key, g, w)
				}
			}
			serial, err := exec.Command(tool, "-s3", "-SerialNumber", name).Output()
			if err != nil || strings.TrimSpace(string(serial)) != "00412077" {
				t.Errorf("serial number is %q (%v), want its leading zeros kept", serial, err)
			}
		})
	}
}

func text(v any) string {
	b, _ := json.Marshal(v)
	return strings.Trim(string(b), `"`)
}

func same(got, want any) bool {
	g, ok1 := got.(float64)
	w, ok2 := want.(float64)
	if ok1 && ok2 {
		return g-w < 1e-6 && w-g < 1e-6
	}
	return got == want
}

func TestExiftoolExtractsTheSameJPEGs(t *testing.T) {
	tool := testneed.Tool(t, "exiftool")
	p := pictures(t)
	full, screen, thumb := p.Full, p.Screen, p.Thumb
	want := map[string]map[string][]byte{
		"DNG little endian": {"SubIFD1:PreviewImage": full, "SubIFD2:JpgFromRaw": screen, "IFD0:PreviewImage": thumb},
		"DNG big endian":    {"SubIFD1:PreviewImage": full, "SubIFD2:JpgFromRaw": screen, "IFD0:PreviewImage": thumb},
		"NEF little endian": {"JpgFromRaw": full, "OtherImage": screen},
		"NEF big endian":    {"JpgFromRaw": full, "OtherImage": screen},
		"ARW":               {"JpgFromRaw": full, "PreviewImage": screen, "ThumbnailImage": thumb},
		"CR3":               {"JpgFromRaw": full, "PreviewImage": screen, "ThumbnailImage": thumb},
		"RAF":               {"ThumbnailImage": thumb},
		"JPEG":              {"ThumbnailImage": thumb},
	}
	for i, l := range layouts {
		t.Run(l.name, func(t *testing.T) {
			name := written(t, t.TempDir(), i)
			for tag, w := range want[l.name] {
				got, err := exec.Command(tool, "-b", "-"+tag, name).Output()
				if err != nil {
					t.Fatal(err)
				}
				if !bytes.Equal(got, w) {
					t.Errorf("%s has %d bytes that differ from the %d written", tag, len(got), len(w))
				}
			}
		})
	}
	t.Run("RAF holds a whole Exif JPEG", func(t *testing.T) {
		name := written(t, t.TempDir(), 6)
		got, err := exec.Command(tool, "-b", "-PreviewImage", name).Output()
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.HasSuffix(got, full[2:]) || !bytes.Contains(got[:32], []byte("Exif\x00\x00")) {
			t.Error("the extracted picture is not the full JPEG behind an Exif segment")
		}
	})
}

// exiv2 lists the previews it can extract, with pixel sizes and lengths.
func TestExiv2ListsThePreviews(t *testing.T) {
	tool := testneed.Tool(t, "exiv2")
	want := map[string][]string{
		"DNG little endian": {"160x120", "324x216", "600x400"},
		"NEF big endian":    {"324x216", "600x400"},
		"ARW":               {"160x120", "324x216", "600x400"},
		"CR3":               {"160x120", "324x216"},
		"RAF":               {"160x120", "600x400"},
		"JPEG":              {"160x120"},
	}
	sizes := regexp.MustCompile(`\d+x\d+ pixels`)
	for i, l := range layouts {
		w, listed := want[l.name]
		if !listed {
			continue
		}
		name := written(t, t.TempDir(), i)
		out, err := exec.Command(tool, "-pp", name).Output()
		if err != nil {
			t.Fatalf("%s: %v", filepath.Base(name), err)
		}
		found := map[string]bool{}
		for _, s := range sizes.FindAllString(string(out), -1) {
			found[strings.TrimSuffix(s, " pixels")] = true
		}
		for _, s := range w {
			if !found[s] {
				t.Errorf("%s: exiv2 does not list the %s preview in\n%s", l.name, s, out)
			}
		}
	}
}
