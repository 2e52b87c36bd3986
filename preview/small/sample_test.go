package small_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"garner/preview/raw"
	"garner/preview/small"
	"garner/testdata/testneed"
)

// known fills in what a job knows of an original.
func known(o small.Original, name string, data []byte) small.Original {
	o.Frame, o.Aliases, o.Path, o.Role, o.Body = "0123456789abcdef", []string{"fedcba9876543210"}, "A/"+name, "main", "A"
	o.Sum = sha256.Sum256(data)
	head := sha256.Sum256(data[:min(len(data), 64<<10)])
	o.Head = hex.EncodeToString(head[:])
	o.Corrected = o.Meta.Taken
	return o
}

// rawSamples calls f for every raw file of the folder of samples, most of which are cut
// down to their headers and thumbnails, and for the whole ones of a module.
func rawSamples(t *testing.T, f func(t *testing.T, name string, data []byte)) {
	n := 0
	for _, root := range []string{filepath.Join(testneed.Samples(t), "raw"), filepath.Join(testneed.Module(t, "github.com/evanoberholster/imagemeta"), "testImages")} {
		err := filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
			if err != nil || !d.Type().IsRegular() {
				return err
			}
			data, err := os.ReadFile(p)
			if err != nil {
				return err
			}
			if at, err := raw.Locate(bytes.NewReader(data), int64(len(data))); err == nil && at.Kind.Raw() {
				n++
				t.Run(filepath.Base(p), func(t *testing.T) { f(t, filepath.Base(p), data) })
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if n < 16 {
		t.Errorf("only %d raw samples", n)
	}
}

// Every JPEG in every sample is kept as the camera's: coded data byte for byte where
// raw.Locate found them, pixels as libjpeg's djpeg gives them, and what exiftool and
// exiv2 read of the exposure is what exiftool reads in the raw file itself.
func TestSamples(t *testing.T) {
	djpeg := testneed.Tool(t, "djpeg")
	testneed.Tool(t, "exiftool")
	testneed.Tool(t, "exiv2")
	made, whole := 0, 0
	rawSamples(t, func(t *testing.T, name string, data []byte) {
		largest, o, err := small.Of(context.Background(), bytes.NewReader(data), int64(len(data)))
		if err != nil && !errors.Is(err, small.ErrNone) && !errors.Is(err, small.ErrBroken) {
			t.Fatal(err)
		}
		o = known(o, name, data)
		at, lerr := raw.Locate(bytes.NewReader(data), int64(len(data)))
		if lerr != nil {
			t.Fatal(lerr)
		}
		dir := t.TempDir()
		file := filepath.Join(dir, name)
		write(t, file, data)
		for i, p := range at.Previews {
			if !p.Whole {
				continue
			}
			cameras := data[p.Offset : p.Offset+p.Length]
			was, is := filepath.Join(dir, "was.jpg"), filepath.Join(dir, "is.jpg")
			write(t, was, cameras)
			pixels, err := exec.Command(djpeg, "-pnm", was).Output()
			if err != nil || len(pixels) < 1000 {
				continue // cut down to its headers
			}
			out, err := small.Wrap(cameras, o)
			if err != nil {
				t.Fatal(err)
			}
			made++
			scans := fromSOS(t, out)
			if !bytes.HasPrefix(fromSOS(t, cameras), bytes.TrimSuffix(scans, []byte{0xFF, 0xD9})) {
				t.Error("the coded data are not the camera's")
			}
			write(t, is, out)
			if !bytes.Equal(output(t, djpeg, "-pnm", is), pixels) {
				t.Error("djpeg shows other pixels")
			}
			if again, err := small.Wrap(cameras, o); err != nil || !bytes.Equal(again, out) {
				t.Error("the same input gave other bytes")
			}
			got, err := small.Check(out)
			if err != nil || !cmp.Equal(o, got) {
				t.Errorf("%v\n%s", err, cmp.Diff(o, got))
			}
			agree(t, file, is)
			if v := string(output(t, "exiv2", "-Pkt", "-K", "Exif.Image.Orientation", "-K", "Xmp.garner.Path", is)); !strings.Contains(v, "A/"+name) || !strings.Contains(v, "Orientation") {
				t.Errorf("exiv2 reads\n%s", v)
			}
			if i == 0 && largest != nil {
				whole++
				if !bytes.HasPrefix(cameras, largest) {
					t.Error("Of returned something else than the largest JPEG")
				}
			}
		}
	})
	t.Logf("%d small pictures, %d of them of whole files", made, whole)
	if made < 12 || whole < 3 {
		t.Errorf("only %d small pictures, %d of whole files", made, whole)
	}
}

// agree holds what exiftool reads in a small picture against what it reads in the
// raw file.
func agree(t *testing.T, original, is string) {
	t.Helper()
	args := []string{"-j", "-n", "-Orientation", "-DateTimeOriginal", "-SubSecTimeOriginal", "-OffsetTimeOriginal", "-ExposureTime", "-FNumber",
		"-FocalLength", "-EXIF:Make", "-EXIF:Model", "-ExifIFD:SerialNumber", "-XMP-garner:all", "-Warning", "-Error"}
	read := func(file string) map[string]any {
		var m []map[string]any
		if err := json.Unmarshal(output(t, "exiftool", append(args, file)...), &m); err != nil || len(m) != 1 {
			t.Fatal(err)
		}
		return m[0]
	}
	was, now := read(original), read(is)
	for _, k := range []string{"Warning", "Error"} {
		if now[k] != nil {
			t.Errorf("exiftool says %v", now[k])
		}
	}
	for _, k := range []string{"Orientation", "DateTimeOriginal", "OffsetTimeOriginal", "ExposureTime", "FNumber", "FocalLength", "SerialNumber", "Make", "Model"} {
		a, b := was[k], now[k]
		x, num := a.(float64)
		y, num2 := b.(float64)
		switch {
		case a == nil || k == "Orientation" && x == 0:
		case num && num2 && x-y < 1e-4*x && y-x < 1e-4*x:
		case a != b:
			t.Errorf("%s is %v, was %v", k, b, a)
		}
	}
}

// fromSOS returns a JPEG from its first scan on.
func fromSOS(t *testing.T, b []byte) []byte {
	t.Helper()
	for at := 2; at+4 <= len(b); at += 2 + int(b[at+2])<<8 + int(b[at+3]) {
		if b[at] != 0xFF {
			t.Fatalf("no marker at %d", at)
		}
		if b[at+1] == 0xDA {
			return b[at:]
		}
	}
	t.Fatal("no scan")
	return nil
}

func write(t *testing.T, path string, b []byte) {
	t.Helper()
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
}

func output(t *testing.T, name string, args ...string) []byte {
	t.Helper()
	cmd := exec.Command(name, args...)
	var said bytes.Buffer
	cmd.Stderr = &said
	b, err := cmd.Output()
	if err != nil && len(b) == 0 {
		t.Fatalf("%s: %v\n%s", name, err, said.Bytes())
	}
	return b
}
