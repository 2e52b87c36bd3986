package output

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"garner/cull"
	"garner/store"
	"garner/store/atomicfile"
	"garner/store/vfs"
)

// LedgerName is the file in JOB/sets that keeps names and numbers.
const LedgerName = "names.jsonl"

// maxLedger bounds it, in bytes: a line has some hundred.
const maxLedger = 256 << 20

// record is one line of the ledger: of a picture, or with a Set of its file there.
type record struct {
	Picture name   `json:"picture"`           // path in finished/
	SHA256  string `json:"sha256,omitempty"`  // of the picture, or of the file
	Bytes   int64  `json:"bytes,omitempty"`   // likewise
	Changed int64  `json:"changed,omitempty"` // of a picture: nanoseconds since 1970, by which it is told from a later one
	Number  int    `json:"number,omitempty"`  // of a picture

	Set     string `json:"set,omitempty"`
	File    string `json:"file,omitempty"`    // name in the set's folder
	Pattern string `json:"pattern,omitempty"` // that File was made by
	Cut     string `json:"cut,omitempty"`     // what went into it, as a sum; "" = it is not cut yet
}

// name is a path whose bytes may be anything.
type name string

type rawName struct {
	Raw string `json:"raw"`
}

// MarshalJSON writes a text, or the bytes where they are none.
func (n name) MarshalJSON() ([]byte, error) {
	if utf8.ValidString(string(n)) {
		return json.Marshal(string(n))
	}
	return json.Marshal(rawName{base64.StdEncoding.EncodeToString([]byte(n))})
}

// UnmarshalJSON reads either.
func (n *name) UnmarshalJSON(b []byte) error {
	if len(b) > 0 && b[0] == '"' {
		return json.Unmarshal(b, (*string)(n))
	}
	var r rawName
	if err := json.Unmarshal(b, &r); err != nil {
		return err
	}
	raw, err := base64.StdEncoding.DecodeString(r.Raw)
	*n = name(raw)
	return err
}

type fileKey struct{ set, picture string }

// ledger is what is kept of names and numbers.
type ledger struct {
	path     string
	pictures map[string]record
	files    map[fileKey]record
	damaged  int // lines that were not what was written
	lost     bool
}

// openLedger reads the ledger. A missing one is empty and lost; damaged lines are left
// out, as is one that a killed program did not write to its end.
func openLedger(path string) (*ledger, error) {
	l := &ledger{path: path, pictures: map[string]record{}, files: map[fileKey]record{}}
	info, err := os.Stat(path)
	if err == nil && !info.Mode().IsRegular() { // a pipe would be waited for
		return nil, errors.New(path + " is no file: it is where names of pictures are kept")
	}
	if errors.Is(err, fs.ErrNotExist) {
		l.lost = true
		return l, nil
	}
	if err != nil {
		return nil, store.Wrap("read", path, err)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, store.Wrap("read", path, err)
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, maxLedger+1))
	if err != nil {
		return nil, store.Wrap("read", path, err)
	}
	if len(text) > maxLedger {
		return nil, errors.New(path + " is too large: it is no list of names")
	}
	l.read(text)
	return l, nil
}

func (l *ledger) read(text []byte) {
	for line := range bytes.Lines(text) {
		var r record
		body, whole := bytes.CutSuffix(line, []byte("\n"))
		sum, object, ok := bytes.Cut(body, []byte(" "))
		if !whole || !ok || string(sum) != check(object) || json.Unmarshal(object, &r) != nil || !r.sound() {
			l.damaged++
			continue
		}
		l.set(r)
	}
}

func (l *ledger) set(r record) {
	if r.Set == "" {
		l.pictures[string(r.Picture)] = r
	} else {
		l.files[fileKey{r.Set, string(r.Picture)}] = r
	}
}

// maxNumber is more than pictures are ever counted to.
const maxNumber = 1_000_000_000

// sound reports whether a record can be one of ours. The ledger goes along where sets/
// is copied to, and a sum can be made by anybody: a file that lies elsewhere would be
// written over.
func (r record) sound() bool {
	return r.Number >= 0 && r.Number <= maxNumber && (r.Set == "" || r.File != "" && cull.PortableName(r.File) == r.File)
}

// check is a short sum of a line.
func check(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:4])
}

func (r record) line() []byte {
	b, err := json.Marshal(r)
	if err != nil {
		panic(err) // texts and numbers can be written
	}
	return append([]byte(check(b)+" "), append(b, '\n')...)
}

// save writes the whole ledger in order, durably.
func (l *ledger) save(fsys vfs.FS) error {
	var b bytes.Buffer
	for _, k := range slices.Sorted(maps.Keys(l.pictures)) {
		b.Write(l.pictures[k].line())
	}
	order := func(x, y fileKey) int {
		return cmp.Or(cmp.Compare(x.set, y.set), cmp.Compare(x.picture, y.picture))
	}
	for _, k := range slices.SortedFunc(maps.Keys(l.files), order) {
		b.Write(l.files[k].line())
	}
	if old, err := os.ReadFile(l.path); err == nil && bytes.Equal(old, b.Bytes()) {
		return nil
	}
	return atomicfile.WriteFile(fsys, l.path, b.Bytes(), 0o666)
}

// add appends one record. It need not be durable: what is lost of it is read back from
// the files.
func (l *ledger) add(fsys vfs.FS, r record) error {
	l.set(r)
	f, err := fsys.OpenFile(l.path, os.O_WRONLY|os.O_APPEND|os.O_CREATE, 0o666)
	if err != nil {
		return store.Wrap("write", l.path, err)
	}
	_, err = f.Write(r.line())
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	return store.Wrap("write", l.path, err)
}

// follow brings a picture that was renamed together with what was kept of it.
func (l *ledger) follow(from, to string) {
	p := l.pictures[from]
	delete(l.pictures, from)
	p.Picture = name(to)
	l.pictures[to] = p
	for k, r := range l.files {
		if k.picture == from {
			delete(l.files, k)
			r.Picture = name(to)
			l.files[fileKey{k.set, to}] = r
		}
	}
}

// respell brings what was kept of a set along whose name is now written in other letters,
// where the file system takes both for one folder.
func (l *ledger) respell(sets []Set) {
	now := map[string]bool{}
	for _, s := range sets {
		now[s.Name] = true
	}
	same := func(a, b string) bool {
		x, err := os.Stat(filepath.Join(filepath.Dir(l.path), a))
		y, yerr := os.Stat(filepath.Join(filepath.Dir(l.path), b))
		return err == nil && yerr == nil && os.SameFile(x, y)
	}
	for _, s := range sets {
		old := map[string]bool{}
		for k := range l.files {
			if !now[k.set] && strings.EqualFold(k.set, s.Name) {
				old[k.set] = true
			}
		}
		for _, set := range slices.Sorted(maps.Keys(old)) {
			if same(set, s.Name) {
				l.move(set, s.Name)
			}
		}
	}
}

// move brings the files of one set to another, unless it has some of the picture.
func (l *ledger) move(from, to string) {
	for k, r := range l.files {
		if k.set != from {
			continue
		}
		delete(l.files, k)
		r.Set = to
		if key := (fileKey{to, k.picture}); l.files[key].File == "" {
			l.files[key] = r
		}
	}
}

// state is what a picture is known by without reading it.
type state struct{ bytes, changed int64 }

// twins are the states of several pictures: plain TIFFs of one body have one size, and
// disks that keep time to two seconds give them one time. When two of them swap their
// names nothing but their bytes tells.
func (l *ledger) twins() map[state]bool {
	n, twins := map[state]int{}, map[state]bool{}
	for _, p := range l.pictures {
		s := state{p.Bytes, p.Changed}
		if n[s]++; n[s] > 1 {
			twins[s] = true
		}
	}
	return twins
}

// last is the highest number that was ever given.
func (l *ledger) last() int {
	n := 0
	for _, p := range l.pictures {
		n = max(n, p.Number)
	}
	return n
}

func ledgerPath(root string) string { return filepath.Join(root, SetsFolder, LedgerName) }
