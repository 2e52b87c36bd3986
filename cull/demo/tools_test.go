package demo

import (
	"encoding/json"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"garner/testdata/testneed"
)

// askExiftool holds what another program reads from the files against what they
// were meant to say.
func askExiftool(t *testing.T, dir string, sum Summary) {
	tool := testneed.Tool(t, "exiftool")
	var found []map[string]any
	out, err := exec.Command(tool, "-json", "-r", "-n", dir).Output()
	if len(out) == 0 {
		t.Fatal(err)
	}
	if err := json.Unmarshal(out, &found); err != nil {
		t.Fatal(err)
	}
	byPath := map[string]map[string]any{}
	for _, f := range found {
		rel, err := filepath.Rel(dir, filepath.FromSlash(f["SourceFile"].(string)))
		if err != nil {
			t.Fatal(err)
		}
		byPath[filepath.ToSlash(rel)] = f
	}
	serials := map[string]map[string]bool{}
	for _, truth := range sum.Truth {
		for _, p := range truth.Paths {
			f := byPath[p]
			if f == nil {
				t.Errorf("%s is not known to exiftool", p)
				continue
			}
			if !truth.Broken && f["Error"] != nil {
				t.Errorf("%s: %v", p, f["Error"])
			}
			if !truth.Broken && f["Warning"] != nil {
				t.Errorf("%s: %v", p, f["Warning"])
			}
			kind := strings.TrimPrefix(filepath.Ext(p), ".")
			if want := strings.Replace(kind, "JPG", "JPEG", 1); f["FileType"] != want {
				t.Errorf("%s is a %v, want %s", p, f["FileType"], want)
			}
			if o := f["Orientation"].(float64); (o != 1) != truth.Upright {
				t.Errorf("%s: orientation %v, portrait %v", p, o, truth.Upright)
			}
			checkTime(t, p, f, truth)
			if serials[truth.Body] == nil {
				serials[truth.Body] = map[string]bool{}
			}
			b, _ := json.Marshal(f["SerialNumber"])
			serials[truth.Body][string(b)] = true
		}
	}
	all := map[string]bool{}
	for body, s := range serials {
		for v := range s {
			if len(s) != 1 || all[v] {
				t.Errorf("body %s has serial numbers %v", body, s)
			}
			all[v] = true
		}
	}
}

func checkTime(t *testing.T, p string, f map[string]any, truth Truth) {
	t.Helper()
	shown := truth.Time
	if truth.Body == "B" {
		shown = shown.Add(OffsetSeconds * time.Second)
	}
	if truth.Body == "C" {
		if got := f["DateTimeOriginal"]; got != shown.Format("2006:01:02 15:04:05") || f["OffsetTimeOriginal"] != nil || f["SubSecTimeOriginal"] != nil {
			t.Errorf("%s: %v, zone %v, want %v without a zone", p, got, f["OffsetTimeOriginal"], shown)
		}
		return
	}
	if got, want := f["SubSecDateTimeOriginal"], shown.Format("2006:01:02 15:04:05.00")+"+02:00"; got != want {
		t.Errorf("%s: taken %v, want %s", p, got, want)
	}
}
