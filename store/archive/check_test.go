package archive_test

import (
	"bytes"
	"crypto/md5"
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"

	"garner/store/archive"
	"garner/store/vfs"
	"garner/store/vfs/vfstest"
)

// made is a bag of two frames and what a job says of itself.
func made(t testing.TB, opt vfstest.Options) *vfstest.Mem {
	m := vfstest.New(opt)
	_, err := archive.Grow(ctx, m, growth(frames(m.Put, "A/1.CR3", "A/2.CR3"), "/bag"))
	must(t, err)
	return m
}

// What can be wrong with a bag, and the sentences that say so. Faults begin with an
// exclamation mark.
func TestCheck(t *testing.T) {
	const frame = "/bag/data/job/A/1.CR3"
	edit := func(path, old, new string) func(*vfstest.Mem) {
		return func(m *vfstest.Mem) {
			b, _ := m.Get(path)
			m.Put(path, bytes.Replace(bytes.Clone(b), []byte(old), []byte(new), 1))
		}
	}
	changed := func(path string) string {
		return "!" + path + " has other bytes than those of tagmanifest-sha256.txt and tagmanifest-sha512.txt"
	}
	for name, c := range map[string]struct {
		arrange func(m *vfstest.Mem)
		says    []string
	}{
		"nothing":  {func(*vfstest.Mem) {}, nil},
		"a bit":    {func(m *vfstest.Mem) { m.Rot(frame, 5) }, []string{"!data/job/A/1.CR3 has other bytes than those of manifest-sha256.txt and manifest-sha512.txt"}},
		"a sector": {func(m *vfstest.Mem) { m.Break(frame, 512) }, []string{"!data/job/A/1.CR3 could not be read: at byte 512: input/output error"}},
		"a missing file": {func(m *vfstest.Mem) { m.Remove(frame) }, []string{
			`!bag-info.txt says Payload-Oxum "7203.3", and there are 4803.2 (bytes, files)`, "!data/job/A/1.CR3 is missing"}},
		"a file more": {func(m *vfstest.Mem) { m.Put("/bag/data/more.txt", nil) }, []string{
			`!bag-info.txt says Payload-Oxum "7203.3", and there are 7203.4 (bytes, files)`, "!data/more.txt is in no manifest"}},
		"litter": {func(m *vfstest.Mem) { m.Put("/bag/data/.DS_Store", nil); m.Put("/bag/.DS_Store", nil) }, []string{
			`!bag-info.txt says Payload-Oxum "7203.3", and there are 7203.4 (bytes, files)`,
			"!data/.DS_Store is in no manifest: the system put it there; delete it", ".DS_Store is in no tag manifest"}},
		"a partial": {func(m *vfstest.Mem) { m.Put("/bag/data/.1.CR3.1.garner-partial", nil) }, []string{
			`!bag-info.txt says Payload-Oxum "7203.3", and there are 7203.4 (bytes, files)`, "!data/.1.CR3.1.garner-partial is in no manifest"}},
		"a note beside": {func(m *vfstest.Mem) { m.Put("/bag/note.txt", nil) }, []string{"note.txt is in no tag manifest"}},
		"a link in data": {func(m *vfstest.Mem) { must(t, m.Symlink("1.CR3", "/bag/data/job/A/x.CR3")) }, []string{
			"!data/job/A/x.CR3 is a link, pipe or device: a bag holds files"}},
		"a file that became a link": {func(m *vfstest.Mem) {
			b, _ := m.Get(frame)
			m.Put("/outside", bytes.Clone(b))
			m.Remove(frame)
			must(t, m.Symlink("/outside", frame))
		}, []string{
			`!bag-info.txt says Payload-Oxum "7203.3", and there are 4803.2 (bytes, files)`,
			"!data/job/A/1.CR3 is a link, pipe or device: a bag holds files"}},
		"bagit.txt became a link": {func(m *vfstest.Mem) {
			m.Put("/outside", []byte("BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"))
			m.Remove("/bag/bagit.txt")
			must(t, m.Symlink("/outside", "/bag/bagit.txt"))
		}, []string{"!bagit.txt is not a regular file", "!bagit.txt is a link, pipe or device: a bag holds files"}},
		"another oxum": {edit("/bag/bag-info.txt", "7203.3", "7203.4"), []string{
			`!bag-info.txt says Payload-Oxum "7203.4", and there are 7203.3 (bytes, files)`, changed("bag-info.txt")}},
		"a checksum": {edit("/bag/manifest-sha256.txt", "2", "3"), []string{
			"!data/job/A/1.CR3 has other bytes than those of manifest-sha256.txt", changed("manifest-sha256.txt")}},
		"one manifest forgets": {func(m *vfstest.Mem) {
			b, _ := m.Get("/bag/manifest-sha512.txt")
			m.Put("/bag/manifest-sha512.txt", bytes.Clone(b[bytes.IndexByte(b, '\n')+1:]))
		}, []string{"!data/job/A/1.CR3 is not in every manifest", changed("manifest-sha512.txt")}},
		"tag manifest forgets": {func(m *vfstest.Mem) {
			m.Put("/bag/tagmanifest-sha256.txt", nil)
		}, []string{"!tagmanifest-sha256.txt does not list manifest-sha256.txt", "!tagmanifest-sha256.txt does not list manifest-sha512.txt"}},
		"no manifest": {func(m *vfstest.Mem) {
			for _, n := range []string{"256", "512"} {
				m.Remove("/bag/manifest-sha" + n + ".txt")
				m.Remove("/bag/tagmanifest-sha" + n + ".txt")
			}
		}, []string{"!the bag has no manifest that garner can read", "!data/job/A/1.CR3 is in no manifest", "!data/job/A/2.CR3 is in no manifest", "!data/record/0001/job.json is in no manifest"}},
		"no data": {func(m *vfstest.Mem) {
			for _, p := range []string{"job/A/1.CR3", "job/A/2.CR3", "job/A", "job", "record/0001/job.json", "record/0001", "record", ""} {
				must(t, m.Remove(strings.TrimSuffix("/bag/data/"+p, "/")))
			}
		}, []string{`!bag-info.txt says Payload-Oxum "7203.3", and there are 0.0 (bytes, files)`, "!data is missing",
			"!data/job/A/1.CR3 is missing", "!data/job/A/2.CR3 is missing", "!data/record/0001/job.json is missing"}},
		"other kinds of checksums": {func(m *vfstest.Mem) { m.Put("/bag/manifest-blake2b.txt", []byte("?")) }, []string{
			"manifest-blake2b.txt has checksums of a kind that garner can't compute", "manifest-blake2b.txt is in no tag manifest"}},
		"a second list of a kind": {func(m *vfstest.Mem) {
			b, _ := m.Get("/bag/manifest-sha256.txt")
			m.Put("/bag/manifest-SHA256.txt", bytes.Clone(b))
		}, []string{"!manifest-sha256.txt is a second list of checksums of one kind", "!tagmanifest-sha256.txt does not list manifest-SHA256.txt", "!tagmanifest-sha512.txt does not list manifest-SHA256.txt",
			"manifest-SHA256.txt is in no tag manifest", `manifest-sha256.txt has the name of "manifest-SHA256.txt" but for case or normal form: not every system keeps both`}},
		"an encoding": {edit("/bag/bagit.txt", "UTF-8", "EBCDIC"), []string{
			"!the bag has no manifest that garner can read",
		}},
		"growing.txt of somebody else": {func(m *vfstest.Mem) { m.Put("/bag/growing.txt", []byte("x")) }, []string{
			"!growing.txt is not as garner wrote it", "growing.txt is in no tag manifest"}},
	} {
		m := made(t, vfstest.Options{})
		c.arrange(m)
		r, err := archive.Check(ctx, m, "/bag", nil)
		must(t, err)
		var all []string
		for _, f := range r.Findings {
			s := f.String()
			if f.Fault {
				s = "!" + s
			}
			all = append(all, s)
		}
		if name == "an encoding" {
			if !strings.Contains(strings.Join(all, "\n"), `manifest-sha256.txt is in the encoding "EBCDIC", which garner can't read`) || r.Valid() {
				t.Errorf("%s: %q", name, all)
			}
			continue
		}
		if strings.Join(all, "\n") != strings.Join(c.says, "\n") {
			t.Errorf("%s:\n%s\nwant\n%s", name, strings.Join(all, "\n"), strings.Join(c.says, "\n"))
		}
		if faulty := strings.HasPrefix(strings.Join(c.says, ""), "!"); r.Valid() == faulty {
			t.Errorf("%s: valid: %v", name, r.Valid())
		}
	}
}

func TestNoBag(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	m.Put("/folder/x", nil)
	m.Put("/bag/bagit.txt", []byte("BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"))
	m.Inject(vfstest.Fault{Op: vfstest.OpReadDir, Path: "/bag", Err: syscall.EACCES})
	for _, dir := range []string{"/folder", "/folder/x", "/none", "/bag"} {
		if r, err := archive.Check(ctx, m, dir, nil); err == nil || r.Bag != nil {
			t.Errorf("%s: %v", dir, r)
		}
		if b, err := archive.Open(m, dir); err == nil || b != nil {
			t.Errorf("%s: %v", dir, b)
		}
	}
}

// Where the system's cache can't be passed, the report says that it shows less.
func TestCheckPassesTheCache(t *testing.T) {
	m := made(t, vfstest.Options{NoBypass: true})
	m.Rot("/bag/data/job/A/1.CR3", 5)
	if r, err := archive.Check(ctx, m, "/bag", nil); err != nil || r.Bypassed || !r.Valid() {
		t.Errorf("%v, %+v", err, r)
	}
}

// narrow counts the files that are open at once.
type narrow struct {
	vfs.FS
	open, most atomic.Int32
}

func (n *narrow) Open(name string) (vfs.File, error) {
	f, err := n.FS.Open(name)
	if err == nil {
		now := n.open.Add(1)
		for most := n.most.Load(); now > most && !n.most.CompareAndSwap(most, now); most = n.most.Load() {
		}
		f = narrowFile{f, n}
	}
	return f, err
}

type narrowFile struct {
	vfs.File
	n *narrow
}

func (f narrowFile) Close() error { f.n.open.Add(-1); return f.File.Close() }

func TestTwoFilesAtOnce(t *testing.T) {
	n := &narrow{FS: made(t, vfstest.Options{})}
	_, err := archive.Check(ctx, n, "/bag", nil)
	must(t, err)
	if most := n.most.Load(); most < 1 || most > 2 || n.open.Load() != 0 {
		t.Errorf("%d files at once, %d left open", most, n.open.Load())
	}
}

// A bag of old with names of old: ISO-8859-1 in the manifest (RFC 8493 section 2.2.4
// leaves it open), SHA-1 and MD5, escaped line ends, a normal form that the disk has
// changed.
func TestOldBag(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	for _, name := range []string{"M\u00fcller.jpg", "two\nlines", "e\u0301.jpg"} {
		m.Put("/bag/data/"+name, []byte(name))
	}
	m.Put("/bag/bagit.txt", []byte("BagIt-Version: 0.96\nTag-File-Character-Encoding: ISO-8859-1\n"))
	m.Put("/bag/manifest-md5.txt", fmt.Appendf(nil, "%x data/M\xfcller.jpg\r\n%x  data/two%%0Alines\r\n%x  data/\xe9.jpg",
		md5.Sum([]byte("M\u00fcller.jpg")), md5.Sum([]byte("two\nlines")), md5.Sum([]byte("e\u0301.jpg"))))
	r, err := archive.Check(ctx, m, "/bag", nil)
	if err != nil || !r.Valid() || r.Files != 3 || len(r.Findings) != 1 || !strings.Contains(r.Findings[0].String(), "normal form") {
		t.Errorf("%v, %+v", err, r)
	}
	m.Put("/bag/data/e\u0301.jpg", []byte("other"))
	if r, err = archive.Check(ctx, m, "/bag", nil); err != nil || r.Valid() || r.Findings[0].Kind != archive.Differs {
		t.Errorf("%v, %+v", err, r)
	}
}

// Tag files without end are refused by their size, on a disk that has no room for them.
func TestHugeTagFiles(t *testing.T) {
	dir := t.TempDir()
	must(t, os.Mkdir(filepath.Join(dir, "data"), 0o777))
	must(t, os.WriteFile(filepath.Join(dir, "bagit.txt"), []byte("BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"), 0o666))
	must(t, os.WriteFile(filepath.Join(dir, "manifest-sha256.txt"), nil, 0o666))
	must(t, os.Truncate(filepath.Join(dir, "manifest-sha256.txt"), 1<<40))
	r, err := archive.Check(ctx, vfs.OS{}, dir, nil)
	if err != nil || r.Valid() || r.Findings[len(r.Findings)-1].String() != "manifest-sha256.txt is larger than any of its kind" {
		t.Errorf("%v, %v", err, r.Findings)
	}
}

// Folders inside each other without end are refused, and no stack is used up.
func TestDeepFolders(t *testing.T) {
	m := made(t, vfstest.Options{})
	m.Put("/bag/data/"+strings.Repeat("d/", 200)+"x", nil)
	if _, err := archive.Check(ctx, m, "/bag", nil); err == nil || !strings.Contains(err.Error(), "more folders inside each other") {
		t.Errorf("%v", err)
	}
}

// A bag whose files differ in case alone can't be kept everywhere.
func TestSpellings(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	m.Put("/bag/bagit.txt", []byte("BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"))
	var manifest []byte
	for _, name := range []string{"data/A.jpg", "data/a.jpg"} {
		m.Put("/bag/"+name, []byte(name))
		manifest = fmt.Appendf(manifest, "%x  %s\n", sha256.Sum256([]byte(name)), name)
	}
	m.Put("/bag/manifest-sha256.txt", manifest)
	r, err := archive.Check(ctx, m, "/bag", nil)
	if err != nil || !r.Valid() || len(r.Findings) != 1 || r.Findings[0].String() != `data/a.jpg has the name of "data/A.jpg" but for case or normal form: not every system keeps both` {
		t.Errorf("%v, %v", err, r.Findings)
	}
	// On a system that took one for the other, one of the two is lost.
	m.Remove("/bag/data/a.jpg")
	if r, err = archive.Check(ctx, m, "/bag", nil); err != nil || r.Valid() || r.Findings[0].String() != "data/a.jpg is missing" {
		t.Errorf("%v, %v", err, r.Findings)
	}
}
