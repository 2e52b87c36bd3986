package verify

import (
	"context"
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"garner/store/manifest"
	"garner/store/vfs"
)

// mirror makes a folder such as an offload leaves at another destination. Files
// whose name ends in .xmp are listed apart.
func mirror(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	write(t, dir, files)
	originals, sidecars := map[string]manifest.Sum{}, map[string]manifest.Sum{}
	for p, data := range files {
		if strings.HasSuffix(p, ".xmp") {
			sidecars[p] = sha256.Sum256([]byte(data))
		} else {
			originals[p] = sha256.Sum256([]byte(data))
		}
	}
	for name, sums := range map[string]map[string]manifest.Sum{manifestName: originals, sidecarsName: sidecars} {
		if err := manifest.Save(vfs.OS{}, filepath.Join(dir, stateFolder, name), sums); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func write(t *testing.T, dir string, files map[string]string) {
	t.Helper()
	for p, data := range files {
		path := filepath.Join(dir, filepath.FromSlash(p))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(data), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// told collects lines as "PLACE/PATH STATE", sidecars marked.
func told(lines *[]string) func(Line) {
	return func(l Line) {
		mark := ""
		if l.Sidecar {
			mark = " (sidecar)"
		}
		*lines = append(*lines, fmt.Sprintf("%s:%s %s%s", filepath.Base(l.Place), l.Path, l.State, mark))
	}
}

// Every folder that can be reached is read whole, against its own manifest; what is
// wrong is counted; a changed sidecar and a folder that is away are not.
func TestEveryPlaceIsRead(t *testing.T) {
	files := map[string]string{"A/1.DNG": "abc", "A/2.DNG": "second", "B/1.DNG": "third"}
	b := newBench(t, files)
	b.run(true)
	all := map[string]string{"A/1.DNG": "abc", "A/2.DNG": "second", "B/1.DNG": "third", "A/1.xmp": "as it came", "clips/A/c.mp4": "film"}
	good, worn, other := mirror(t, all), mirror(t, all), mirror(t, map[string]string{"A/1.DNG": "ABC"})
	write(t, worn, map[string]string{"A/2.DNG": "sec0nd", "A/1.xmp": "edited"})
	if err := os.Remove(filepath.Join(worn, "clips/A/c.mp4")); err != nil {
		t.Fatal(err)
	}
	torn := mirror(t, all)
	write(t, torn, map[string]string{".garner/" + manifestName: "no manifest\n"})
	away := filepath.Join(t.TempDir(), "away")
	if err := b.j.SetAlso([]string{good, worn, other, torn, away}); err != nil {
		t.Fatal(err)
	}
	before := tree(t, good)
	var lines []string
	sum, err := Run(context.Background(), b.j, Options{Line: told(&lines)})
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(lines)
	w, o := filepath.Base(worn), filepath.Base(other)
	want := []string{w + ":A/1.xmp changed (sidecar)", w + ":A/2.DNG changed", w + ":clips/A/c.mp4 missing", o + ":A/1.DNG changed"}
	slices.Sort(want)
	if d := cmp.Diff(want, lines); d != "" {
		t.Error(d)
	}
	if len(sum.Places) != 5 || sum.Bad() != 4 {
		t.Fatalf("%d wrong, %+v", sum.Bad(), sum.Places)
	}
	if p := sum.Places[0]; !p.Reachable || p.Files[Same] != 4 || p.Sidecars[Same] != 1 || p.Lacks != 0 {
		t.Errorf("whole: %+v", p)
	}
	if p := sum.Places[1]; p.Files[Same] != 2 || p.Sidecars[Changed] != 1 {
		t.Errorf("worn: %+v", p)
	}
	if p := sum.Places[2]; p.Lacks != 2 {
		t.Errorf("another's: %+v", p)
	}
	if p := sum.Places[3]; !strings.Contains(p.Fault, "line 1") {
		t.Errorf("torn: %+v", p)
	}
	if p := sum.Places[4]; p.Reachable || p.Fault != "" {
		t.Errorf("away: %+v", p)
	}
	var size int64
	for _, data := range all {
		size += int64(len(data))
	}
	if want := 14 + size + size - 4 - 4 + 3; sum.Bytes != want { // worn lacks the film, and its sidecar is 4 bytes shorter
		t.Errorf("%d bytes read, want %d", sum.Bytes, want)
	}
	if now := tree(t, good); now != before {
		t.Errorf("the folder became\n%s", now)
	}
}

func tree(t *testing.T, dir string) string {
	t.Helper()
	var out []string
	err := filepath.WalkDir(dir, func(p string, e os.DirEntry, err error) error {
		out = append(out, p)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(out, "\n")
}

// A destination by itself is verified without a catalogue, and gets none.
func TestFolder(t *testing.T) {
	dir := mirror(t, map[string]string{"A/1.DNG": "abc", "A/2.DNG": "second", "A/1.xmp": "as it came", "clips/A/c.mp4": "film"})
	if !Alone(dir) {
		t.Fatal("it counts as a job")
	}
	before := tree(t, dir)
	check := func(bad int, want ...string) {
		t.Helper()
		var lines []string
		sum, err := Folder(context.Background(), dir, Options{Line: told(&lines)})
		if err != nil || sum.Bad() != bad || !sum.NoCatalogue || !slices.Equal(lines, want) {
			t.Errorf("%v, %+v, told %q", err, sum, lines)
		}
		if now := tree(t, dir); now != before {
			t.Errorf("the folder became\n%s", now)
		}
	}
	check(0)
	write(t, dir, map[string]string{"A/1.xmp": "edited", "clips/A/c.mp4": "filn"})
	check(1, ".:clips/A/c.mp4 changed", ".:A/1.xmp changed (sidecar)")
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Folder(ctx, dir, Options{}); err != context.Canceled {
		t.Errorf("called off: %v", err)
	}
	// A manifest is input too: nothing outside of the folder is read.
	sum := manifest.Sum(sha256.Sum256([]byte("x")))
	if err := manifest.Save(vfs.OS{}, filepath.Join(dir, stateFolder, manifestName), map[string]manifest.Sum{"../x": sum, "/etc/hostname": sum, "A": sum}); err != nil {
		t.Fatal(err)
	}
	if got, err := Folder(context.Background(), dir, Options{}); err != nil || got.Files[Unreadable] != 3 || got.Bytes != 6 {
		t.Errorf("%+v, %v", got, err)
	}
	for name, made := range map[string]func(dir string){
		"nothing there": func(string) {},
		"a job": func(dir string) {
			write(t, dir, map[string]string{".garner/catalog.db": "x", ".garner/manifest-sha256.txt": ""})
		},
	} {
		if dir := t.TempDir(); true {
			if made(dir); Alone(dir) {
				t.Errorf("%s counts as a copy of a job", name)
			}
		}
	}
}
