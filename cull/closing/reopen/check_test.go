package reopen

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"garner/cull/closing/record"
	"garner/store/archive"
)

func (b *bench) check() Verdict {
	b.t.Helper()
	v, err := Check(context.Background(), b.bag, nil)
	b.must(err)
	return v
}

// one is the path in the bag of the first file that a condition holds for.
func (b *bench) one(which func(record.File) bool) (in, of string) {
	b.t.Helper()
	r, err := record.Open(b.bag)
	b.must(err)
	for f, err := range r.Files() {
		b.must(err)
		if which(f) {
			return f.Bag + f.Small, f.Path
		}
	}
	b.t.Fatal("there is no such file")
	return "", ""
}

func kept(f record.File) bool    { return f.Bag != "" && strings.HasSuffix(f.Path, ".CR3") }
func dropped(f record.File) bool { return f.Bag == "" && f.Small != "" }

// What is wrong with a bag is said once, by its path; what the record says counts also
// where all checksums fit.
func TestCheck(t *testing.T) {
	b := newBench(t)
	v := b.valid(b.bag)
	if v.Frames != demoFrames || v.Originals == 0 || v.Smalls == 0 || v.Others == 0 || v.Bytes == 0 || v.Job.Run != 1 {
		t.Errorf("%+v", v)
	}

	frames, files := record.RunFolder(1)+"/"+record.FramesName, record.RunFolder(1)+"/"+record.FilesName
	in, of := b.one(kept)
	little, orig := b.one(dropped)
	text := func(p string) string {
		s, err := os.ReadFile(filepath.Join(b.bag, filepath.FromSlash(p)))
		b.must(err)
		return string(s)
	}
	cases := []struct {
		name  string
		spoil func(*bench)
		path  string // that the fault stands at
		what  string
		bag   bool // the bag is not valid either
	}{
		{"a file has other bytes", func(b *bench) { b.put(in, "other") }, in, "", true},
		{"a small picture is gone", func(b *bench) { b.must(os.Remove(filepath.Join(b.bag, filepath.FromSlash(little)))) }, little, "", true},
		{"a line is lost", func(b *bench) {
			b.edit(frames, func(s string) string { _, rest, _ := strings.Cut(s, "\n"); return rest })
		}, frames, "23 lines", false},
		{"a line is garbage", func(b *bench) { b.edit(files, func(s string) string { return "{" + s }) }, files, "", false},
		{"a file is said to have another sum", func(b *bench) {
			b.edit(files, func(s string) string {
				return strings.Replace(s, `"bag":"`+in+`","sha256":"`, `"bag":"`+in+`","sha256":"0`, 1)
			})
		}, in, "another checksum", false},
		{"a file is in no manifest", func(b *bench) {
			b.edit(files, func(s string) string { return strings.Replace(s, `"bag":"`+in+`"`, `"bag":"data/job/nowhere"`, 1) })
		}, "data/job/nowhere", "no manifest", false},
		{"a path leaves the job", func(b *bench) {
			b.edit(files, func(s string) string { return strings.Replace(s, `"path":"`+of+`"`, `"path":"../x"`, 1) })
		}, files, "no path in a job", false},
		{"a small picture is no picture", func(b *bench) { b.edit(little, func(string) string { return "\xFF\xD8" }) }, little, "does not stand for " + orig, false},
		{"a small picture is cut off", func(b *bench) { b.edit(little, func(s string) string { return s[:len(s)-100] }) }, little, "cut off", false},
		{"a small picture is of another original", func(b *bench) {
			r, err := record.Open(b.bag)
			b.must(err)
			for f := range r.Files() {
				if dropped(f) && f.Small != little {
					b.edit(little, func(string) string { return text(f.Small) })
					return
				}
			}
		}, little, "another file than " + orig, false},
		{"a line of the journal is torn", func(b *bench) {
			b.edit(record.RunFolder(1)+"/"+record.JournalName, func(s string) string { return s[:len(s)/2] })
		}, record.RunFolder(1) + "/" + record.JournalName, "cannot be read", false},
	}
	whole := b.bag
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			b := &bench{t: t, bag: filepath.Join(t.TempDir(), "bag")}
			b.must(os.CopyFS(b.bag, os.DirFS(whole)))
			c.spoil(b)
			v := b.check()
			var all []Fault
			for _, f := range v.Report.Findings {
				if f.Fault {
					all = append(all, Fault{f.Path, f.What})
				}
			}
			if c.bag == v.Report.Valid() {
				t.Errorf("the bag: %v", all)
			}
			all = append(all, v.Faults...)
			if v.Valid() || !slices.ContainsFunc(all, func(f Fault) bool { return f.Path == c.path && strings.Contains(f.What, c.what) }) {
				t.Errorf("%v", all)
			}
			seen := map[string]bool{}
			for _, f := range all {
				if seen[f.Path] && f.Path != files { // two lines may be wrong
					t.Errorf("said twice: %v", f)
				}
				seen[f.Path] = true
			}
		})
	}
}

func (b *bench) put(name, text string) {
	b.t.Helper()
	b.must(os.WriteFile(filepath.Join(b.bag, filepath.FromSlash(name)), []byte(text), 0o666))
}

// A bag of others is a bag; a folder of bags is each of them; anything else is neither.
func TestBags(t *testing.T) {
	b := newBench(t)
	shelf := filepath.Dir(b.bag)
	other := filepath.Join(shelf, "Other")
	b.must(os.MkdirAll(filepath.Join(other, "data"), 0o777))
	for name, text := range map[string]string{
		"bagit.txt":        "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n",
		"data/hello.txt":   "hello\n",
		"manifest-md5.txt": "b1946ac92492d2347c6235b4d2611184  data/hello.txt\n", // of RFC 1321's MD5: echo hello | md5sum
	} {
		b.must(os.WriteFile(filepath.Join(other, filepath.FromSlash(name)), []byte(text), 0o666))
	}
	b.must(os.Mkdir(filepath.Join(shelf, "Letters"), 0o777))
	bags, err := Bags(shelf)
	b.must(err)
	if want := []string{b.bag, other}; !slices.Equal(slices.Sorted(slices.Values(bags)), slices.Sorted(slices.Values(want))) {
		t.Errorf("%v", bags)
	}
	v, err := Check(context.Background(), other, nil)
	if err != nil || !v.Valid() || v.Job != nil || v.Record != "" || v.Report.Files != 1 {
		t.Errorf("%+v %v", v, err)
	}
	if _, err := Run(context.Background(), other, filepath.Join(t.TempDir(), "x"), Options{}); !errors.Is(err, record.ErrNone) {
		t.Error(err)
	}
	if _, err := Bags(filepath.Join(shelf, "Letters")); !errors.Is(err, archive.ErrNoBag) {
		t.Error(err)
	}
}

// A file that was damaged is not taken, the rest is; another bag of the same record, or
// the same one put right, brings what is missing.
func TestDamaged(t *testing.T) {
	b := newBench(t)
	plain := filepath.Join(t.TempDir(), "plain")
	b.reopen(plain)
	whole := b.bag
	b.bag = filepath.Join(t.TempDir(), "second")
	b.must(os.CopyFS(b.bag, os.DirFS(whole)))
	in, of := b.one(kept)
	b.put(in, "other")
	little, _ := b.one(dropped)
	b.must(os.Remove(filepath.Join(b.bag, filepath.FromSlash(little))))
	b.must(os.Symlink(filepath.Join(whole, filepath.FromSlash(little)), filepath.Join(b.bag, filepath.FromSlash(little))))

	dir := filepath.Join(t.TempDir(), "again")
	sum, err := Run(context.Background(), b.bag, dir, Options{})
	if err != nil || len(sum.Failed) != 2 {
		t.Fatalf("%v %v", sum.Failed, err)
	}
	have := tree(t, dir)
	if _, ok := have[of]; ok {
		t.Error("the damaged file is there")
	}
	if len(have) != len(tree(t, plain))-2 {
		t.Errorf("%d files", len(have))
	}
	b.bag = whole
	if sum := b.reopen(dir); !sum.Resumed || sum.Copied != 2 {
		t.Errorf("%+v", sum)
	}
	j, k := b.open(plain), b.open(dir)
	defer j.Close()
	defer k.Close()
	b.same(b.known(j), b.known(k))
	if is := tree(t, dir); len(is) != len(tree(t, plain)) {
		t.Errorf("%d files", len(is))
	}
	// A record that was changed is not believed at all.
	b.put(record.RunFolder(1)+"/"+record.JournalName, "")
	if _, err := Run(context.Background(), b.bag, filepath.Join(t.TempDir(), "x"), Options{}); err == nil {
		t.Error("the journal was believed")
	}
}

// What somebody did to the tag files that list no files keeps nobody from theirs, and is
// said; a manifest that cannot be read is another thing.
func TestTagsThatListNothing(t *testing.T) {
	b := newBench(t)
	plain := filepath.Join(t.TempDir(), "plain")
	b.reopen(plain)
	want := len(tree(t, plain))
	whole := b.bag
	for name, c := range map[string]struct {
		do   func(dir string) error
		says string // "" = it is refused
	}{
		"a note in bag-info.txt": {func(dir string) error { return appendTo(filepath.Join(dir, "bag-info.txt"), "x\n") }, "bag-info.txt has in line"},
		"no bagit.txt":           {func(dir string) error { return os.Remove(filepath.Join(dir, "bagit.txt")) }, "bagit.txt is missing"},
		"an odd bagit.txt":       {func(dir string) error { return os.WriteFile(filepath.Join(dir, "bagit.txt"), []byte("hello\n"), 0o666) }, "bagit.txt"},
		"an odd manifest": {func(dir string) error {
			return appendTo(filepath.Join(dir, "manifest-sha256.txt"), "zz  data/../../x\n")
		}, ""},
		"no manifest": {func(dir string) error {
			return errors.Join(os.Remove(filepath.Join(dir, "manifest-sha256.txt")), os.Remove(filepath.Join(dir, "manifest-sha512.txt")))
		}, ""},
	} {
		b.bag = filepath.Join(t.TempDir(), "bag")
		b.must(os.CopyFS(b.bag, os.DirFS(whole)))
		b.must(c.do(b.bag))
		dir := filepath.Join(t.TempDir(), "again")
		said := ""
		sum, err := Run(context.Background(), b.bag, dir, Options{Remark: func(s string) { said += s + "\n" }})
		if c.says == "" {
			if err == nil {
				t.Errorf("%s: it is taken", name)
			}
			continue
		}
		if err != nil || len(sum.Failed) > 0 || !strings.Contains(said, c.says) || !strings.Contains(said, "the bag is not valid") {
			t.Errorf("%s: %v, %v, said %q", name, sum.Failed, err, said)
			continue
		}
		if have := len(tree(t, dir)); have != want {
			t.Errorf("%s: %d files, want %d", name, have, want)
		}
	}
}

func appendTo(path, text string) error {
	old, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	return os.WriteFile(path, append(old, text...), 0o666)
}

// Of a file that was archived twice the later version comes.
func TestLater(t *testing.T) {
	b := newBench(t)
	j := b.open(b.dir)
	defer j.Close()
	_, of := b.one(func(f record.File) bool { return strings.HasSuffix(f.Path, ".xmp") })
	b.must(os.WriteFile(filepath.Join(b.dir, filepath.FromSlash(of)), []byte("<changed/>"), 0o666))
	b.archive(j, filepath.Dir(b.bag))
	if v := b.valid(b.bag); v.Job.Run != 2 {
		t.Fatalf("%+v", v)
	}
	dir := filepath.Join(t.TempDir(), "again")
	b.reopen(dir)
	if text, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(of))); err != nil || string(text) != "<changed/>" {
		t.Errorf("%s %v", text, err)
	}
}
