package raw_test

import (
	"fmt"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"garner/preview/exif"
	"garner/testdata/testneed"
)

// The point of focus of real files, from Exif and from the notes of two makers,
// against what exiftool prints of them.
func TestPointOfFocusAgreesWithExiftool(t *testing.T) {
	tool := testneed.Tool(t, "exiftool")
	whole := filepath.Join(testneed.Module(t, "github.com/evanoberholster/imagemeta"), "testImages")
	cut := filepath.Join(testneed.Module(t, "github.com/bep/imagemeta"), "testdata", "images")
	ask := func(path string, tags ...string) []int {
		args := []string{"-s3"}
		for _, tag := range tags {
			args = append(args, "-"+tag)
		}
		out, err := exec.Command(tool, append(args, path)...).Output()
		if err != nil {
			t.Fatal(err)
		}
		var v []int
		for _, f := range strings.Fields(string(out)) {
			var n int
			if _, err := fmt.Sscan(f, &n); err == nil {
				v = append(v, n)
			}
		}
		return v
	}
	check := func(path string, want exif.Area) {
		t.Helper()
		f, err := located(t, sample(t, path))
		if err != nil {
			t.Fatal(err)
		}
		if f.Meta.Subject != want {
			t.Errorf("%s: %+v, exiftool's %+v", filepath.Base(path), f.Meta.Subject, want)
		}
	}

	phone := filepath.Join(cut, "iphone.heic")
	v := ask(phone, "SubjectArea")
	check(phone, exif.Area{X: v[0], Y: v[1], W: v[2], H: v[3], Given: true})

	sony := filepath.Join(cut, "sony.heif")
	v = ask(sony, "FocusLocation")
	check(sony, exif.Area{X: v[2], Y: v[3], Given: true})

	canon := []string{filepath.Join(whole, "CR2.exif")}
	canon = append(canon, filepath.Join(testneed.Samples(t), "raw", "CanonRaw.cr3"))
	for _, path := range canon {
		size := ask(path, "AFImageWidth", "AFImageHeight")
		// Both have one point in focus; exiftool prints its number.
		i := ask(path, "Canon:AFPointsInFocus")[0]
		at := func(tag string) int { return ask(path, "Canon:"+tag)[i] }
		check(path, exif.Area{X: size[0]/2 + at("AFAreaXPositions"), Y: size[1]/2 - at("AFAreaYPositions"),
			W: at("AFAreaWidths"), H: at("AFAreaHeights"), Given: true})
	}
}
