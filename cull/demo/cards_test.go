package demo

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"maps"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"garner/store"
)

func cards(t testing.TB, n int) (string, CardsSummary) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "cards")
	sum, err := MakeCards(context.Background(), dir, Options{Frames: n})
	if err != nil {
		t.Fatal(err)
	}
	return dir, sum
}

func (s CardsSummary) of(card int) (list []CardFile) {
	for _, f := range s.Files {
		if f.Card == card {
			list = append(list, f)
		}
	}
	return list
}

func TestCards(t *testing.T) {
	dir, sum := cards(t, MinCardsFrames)
	onDisk := tree(t, dir)

	t.Run("truth is what is on disk", func(t *testing.T) {
		left := maps.Clone(onDisk)
		for _, f := range sum.Files {
			name := sum.Cards[f.Card].Dir + "/" + f.Path
			if left[name] != f.Sum {
				t.Errorf("%s is %q, want %q", name, left[name], f.Sum)
			}
			delete(left, name)
		}
		for _, c := range sum.Cards {
			for _, l := range c.Litter {
				if left[c.Dir+"/"+l] == "" {
					t.Errorf("%s has no %s", c.Dir, l)
				}
				delete(left, c.Dir+"/"+l)
			}
		}
		if len(left) > 0 {
			t.Errorf("unexplained: %v", left)
		}
	})

	t.Run("slots", func(t *testing.T) {
		raws, jpegs := map[string]bool{}, map[string]bool{}
		for _, f := range sum.of(rawOfA) {
			if f.Exposure != "" && f.Day == sum.Today && path.Ext(f.Path) != ".WAV" {
				raws[f.Exposure] = true
			}
		}
		for _, f := range sum.of(jpegOfA) {
			jpegs[f.Exposure] = true
		}
		if len(raws) < 5 || !maps.Equal(raws, jpegs) {
			t.Errorf("slot 1 of body A has %v, slot 2 %v", raws, jpegs)
		}
		equal := 0
		for _, f := range sum.of(mirrorOfB) {
			if first := sum.Files[f.Same]; first.Card == rawOfB && first.Path == f.Path {
				equal++
			}
		}
		// All of today's but the missing and the damaged one.
		today := 0
		for _, f := range sum.of(rawOfB) {
			if f.Exposure != "" && f.Day == sum.Today {
				today++
			}
		}
		if equal < 2 || equal != today-2 || len(sum.of(mirrorOfB)) != today-1 {
			t.Errorf("%d of %d are mirrored, %d of them equal", len(sum.of(mirrorOfB)), today, equal)
		}
		for _, f := range sum.of(mirrorOfB) {
			if f.Path == sum.Missing.Path {
				t.Errorf("%s is not missing", f.Path)
			}
		}
		if sum.Missing.Card != rawOfB {
			t.Error("nothing is missing")
		}
	})

	t.Run("names clash", func(t *testing.T) {
		// One name, three exposures: body A today and last week, body B.
		clash := map[string]map[string]bool{}
		for _, f := range sum.Files {
			if f.Exposure == "" {
				continue
			}
			stem := strings.TrimSuffix(path.Base(f.Path), path.Ext(f.Path))
			if clash[stem] == nil {
				clash[stem] = map[string]bool{}
			}
			clash[stem][f.Exposure] = true
		}
		if len(clash["VRNH0001"]) != 3 {
			t.Errorf("VRNH0001 is %v", clash["VRNH0001"])
		}
		for _, p := range []string{"card-1/DCIM/101VRNHT/VRNH9999.JPG", "card-1/DCIM/102VRNHT/VRNH0001.JPG"} {
			if raw := strings.Replace(p, ".JPG", ".CR3", 1); onDisk[raw] == "" && onDisk[strings.Replace(p, ".JPG", ".DNG", 1)] == "" {
				t.Errorf("%s is not there", raw)
			}
		}
	})

	t.Run("the damaged file looks whole", func(t *testing.T) {
		twin := sum.Files[slices.IndexFunc(sum.Files, func(f CardFile) bool { return f.Card == rawOfB && f.Path == sum.Damaged.Path })]
		var data [2][]byte
		var ends [2][32]byte
		var times [2]time.Time
		for i, f := range []CardFile{sum.Damaged, twin} {
			name := filepath.Join(dir, sum.Cards[f.Card].Dir, filepath.FromSlash(f.Path))
			b, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			st, err := os.Stat(name)
			if err != nil {
				t.Fatal(err)
			}
			data[i], times[i] = b, st.ModTime()
			if ends[i], err = store.EndsHash(bytes.NewReader(b), int64(len(b))); err != nil {
				t.Fatal(err)
			}
		}
		if ends[0] != ends[1] || len(data[0]) != len(data[1]) || !times[0].Equal(times[1]) {
			t.Error("size, time or an end of it tell")
		}
		differ := 0
		for i := range data[0] {
			if data[0][i] != data[1][i] {
				differ++
				if data[0][i] != 0 {
					t.Fatal("it is not zeroed")
				}
			}
		}
		if differ < 3000 || differ > 4096 || !sum.Damaged.Damaged || twin.Damaged {
			t.Errorf("%d bytes differ", differ)
		}
	})

	t.Run("days and times", func(t *testing.T) {
		days := map[string]int{}
		for _, f := range sum.Files {
			days[f.Day]++
			st, err := os.Stat(filepath.Join(dir, sum.Cards[f.Card].Dir, filepath.FromSlash(f.Path)))
			if err != nil {
				t.Fatal(err)
			}
			if m := st.ModTime(); m.Unix()%2 != 0 || m.Nanosecond() != 0 {
				t.Errorf("%s has a time that FAT can't keep: %v", f.Path, m)
			}
		}
		if len(days) != 2 || days[sum.Before] != sum.LastWeek || sum.Before != "2026-09-05" || sum.Today != "2026-09-12" {
			t.Errorf("days are %v", days)
		}
	})
}

func TestCardsAreTheSameAgain(t *testing.T) {
	a, one := cards(t, MinCardsFrames)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	b, two := cards(t, MinCardsFrames)
	if !maps.Equal(tree(t, a), tree(t, b)) || !slices.Equal(one.Files, two.Files) {
		t.Error("two runs differ")
	}
}

func TestCardsRefusals(t *testing.T) {
	for _, n := range []int{-1, MinCardsFrames - 1, MaxFrames + 1} {
		if _, err := MakeCards(context.Background(), t.TempDir(), Options{Frames: n}); err == nil {
			t.Errorf("%d frames were made", n)
		}
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "mine.txt"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := MakeCards(context.Background(), dir, Options{}); err == nil || !strings.Contains(err.Error(), "not empty") {
		t.Errorf("a folder with a file in it gives %v", err)
	}
}

func TestNoiseIsByItsSeed(t *testing.T) {
	h := sha256.Sum256(noise(1, 100))
	if bytes.Equal(noise(1, 100), noise(2, 100)) || !bytes.Equal(noise(1, 100), noise(1, 100)) {
		t.Error(hex.EncodeToString(h[:]))
	}
}
