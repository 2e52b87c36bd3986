package testcard

import (
	"bytes"
	"context"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"garner/cull/scan"
)

func TestFilesAreWhatTheySay(t *testing.T) {
	at := time.Date(2026, 6, 14, 9, 30, 1, 250e6, time.UTC)
	for _, ext := range []string{".CR3", ".DNG", ".NEF", ".ARW", ".RAF", ".JPG"} {
		data := File(t, ext, Shot{Serial: "2002", At: at, Counter: 77, Size: 50000})
		e, err := scan.Look(bytes.NewReader(data), "DCIM/100LMRFV/LMR_0001"+ext, int64(len(data)))
		if err != nil || !e.Known() || e.Body.Serial != "2002" || !e.Taken.Wall.Equal(at) || len(data) != 50000 {
			t.Errorf("%s: %+v, %v", ext, e, err)
		}
		if small := File(t, ext, Shot{}); len(small) > 20000 {
			t.Errorf("%s: a small file has %d bytes", ext, len(small))
		}
	}
}

func TestCardIsFoundByScan(t *testing.T) {
	dir := t.TempDir()
	files := Card(t, Disk(t, dir), Run{Folder: "DCIM/100LMRFV", First: 9998, Count: 2, Ext: []string{".CR3", ".JPG"}, Shot: Shot{Counter: 5}})
	res, err := scan.Scan(context.Background(), dir, scan.Options{})
	if err != nil || len(files) != 4 || len(res.Frames) != 2 {
		t.Errorf("%d files are %d frames: %v", len(files), len(res.Frames), err)
	}
}

func TestLongPath(t *testing.T) {
	for _, n := range []int{80, 300, 1000} {
		p := LongPath(n, ".CR3")
		if len(p) != n || filepath.Ext(p) != ".CR3" {
			t.Errorf("%d: %q has %d", n, p, len(p))
		}
		for _, e := range strings.Split(p, "/") {
			if len(e) > 255 || e == "" || strings.HasSuffix(e, " ") {
				t.Errorf("element %q", e)
			}
		}
	}
}

func TestManyAreDifferent(t *testing.T) {
	seen, folders := map[string]bool{}, map[string]bool{}
	Many(func(name string, data []byte, _ time.Time) {
		seen[string(data)] = true
		folders[filepath.Dir(name)] = true
	}, 2000)
	if len(seen) != 2000 || len(folders) != 3 {
		t.Errorf("%d contents in %d folders", len(seen), len(folders))
	}
}
