package raw_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"garner/preview/raw"
	"garner/testdata/testneed"
)

// containerFiles are the real files of the containers that are no TIFF structures.
func containerFiles(t testing.TB) []real {
	whole := filepath.Join(testneed.Module(t, "github.com/evanoberholster/imagemeta"), "testImages")
	cut := filepath.Join(testneed.Module(t, "github.com/bep/imagemeta"), "testdata", "images")
	paths := []string{
		filepath.Join(whole, "Heic.exif"), filepath.Join(cut, "iphone.heic"), filepath.Join(cut, "sony.heif"), filepath.Join(whole, "CRW.CRW"),
	}
	if dir := os.Getenv("GARNER_SAMPLES"); dir != "" {
		for _, name := range []string{"Canon-R6-pruned.CR3", "CanonRaw.cr3", "FujiFilm.raf", "SigmaDP2.x3f"} {
			paths = append(paths, filepath.Join(dir, "raw", name))
		}
	}
	var out []real
	for _, path := range paths {
		out = append(out, real{path, sample(t, path)})
	}
	return out
}

func TestContainersAgreeWithExiftool(t *testing.T) {
	files := containerFiles(t)
	answers := askedAll(t, files, "-DateTimeOriginal", "-SubSecTimeOriginal", "-OffsetTimeOriginal", "-SerialNumber", "-ISO",
		"-FNumber#", "-ExposureTime#", "-ExposureCompensation#", "-FocalLength#", "-Orientation#", "-Rotation#", "-Make", "-Model",
		"-Flash#", "-LensModel", "-FileNumber", "-Software", "-ImageUniqueID", "-Rating", "-ColorSpace#")
	turns := map[string]int{"0": 1, "90": 8, "180": 3, "270": 6}
	for _, r := range files {
		t.Run(filepath.Base(r.path), func(t *testing.T) {
			f, err := located(t, r.data)
			if err != nil {
				t.Fatal(err)
			}
			got := answers[filepath.ToSlash(r.path)]
			if angle := got["QuickTime:Rotation"]; angle != "" {
				delete(got, "IFD0:Orientation") // the property decides
				if f.Meta.Orientation != turns[angle] {
					t.Errorf("orientation %d, exiftool turns by %s", f.Meta.Orientation, angle)
				}
			}
			if f.Kind == "CRW" {
				heapAsExif(got)
			}
			if got["ExifIFD:DateTimeOriginal"] == "" {
				t.Error("exiftool gave nothing to compare")
			}
			agree(t, f, got)
		})
	}
}

// heapAsExif puts what exiftool found in the records of a CRW file where agree
// looks for it.
func heapAsExif(got map[string]string) {
	for tag, groups := range map[string][2]string{
		"DateTimeOriginal": {"CanonRaw", "ExifIFD"}, "ExposureTime": {"Canon", "ExifIFD"}, "FNumber": {"Canon", "ExifIFD"},
		"ISO": {"Composite", "ExifIFD"}, "ExposureCompensation": {"Canon", "ExifIFD"}, "FocalLength": {"Canon", "ExifIFD"},
		"Make": {"CanonRaw", "IFD0"}, "Model": {"CanonRaw", "IFD0"}, "FileNumber": {"CanonRaw", "Canon"},
	} {
		got[groups[1]+":"+tag] = got[groups[0]+":"+tag]
	}
}

// The bytes at our places are the pictures that exiftool takes out.
func TestContainerPreviewsAreThoseOfExiftool(t *testing.T) {
	dir := filepath.Join(testneed.Samples(t), "raw")
	whole := filepath.Join(testneed.Module(t, "github.com/evanoberholster/imagemeta"), "testImages")
	for _, c := range []struct {
		path, tag string
		which     int
	}{
		{filepath.Join(dir, "Canon-R6-pruned.CR3"), "-PreviewImage", 0},
		{filepath.Join(dir, "Canon-R6-pruned.CR3"), "-ThumbnailImage", 1},
		{filepath.Join(dir, "FujiFilm.raf"), "-ThumbnailImage", 0},
		{filepath.Join(dir, "FujiFilm.raf"), "-PreviewImage", 1},
		{filepath.Join(dir, "SigmaDP2.x3f"), "-JpgFromRaw", 0},
		{filepath.Join(whole, "CRW.CRW"), "-JpgFromRaw", 0},
	} {
		data := sample(t, c.path)
		f, err := raw.Locate(bytes.NewReader(data), int64(len(data)))
		if err != nil || len(f.Previews) <= c.which {
			t.Errorf("%s: %+v, %v", c.path, f, err)
			continue
		}
		p := f.Previews[c.which]
		if theirs := takenOut(t, c.path, c.tag); string(theirs) != string(data[p.Offset:p.Offset+p.Length]) {
			t.Errorf("%s %s: %d bytes, ours %d at %d", filepath.Base(c.path), c.tag, len(theirs), p.Length, p.Offset)
		}
	}
}

// takenOut is an embedded picture as exiftool extracts it.
func takenOut(t *testing.T, path, tag string) []byte {
	t.Helper()
	out, err := exec.Command(testneed.Tool(t, "exiftool"), "-b", tag, path).Output()
	if err != nil {
		t.Fatalf("exiftool %s: %v", tag, err)
	}
	return out
}
