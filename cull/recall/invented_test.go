package recall

import (
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/store"
)

// invented is a bag that was never a job: its record and the files that it names.
type invented struct {
	t       testing.TB
	dir     string
	content record.Content
}

var weddingDay = time.Date(2026, 6, 13, 9, 0, 0, 0, time.UTC)

func invent(t testing.TB, dir, job string) *invented {
	return &invented{t: t, dir: dir, content: record.Content{Job: record.Job{
		Name: job, Run: 1,
		Bodies: []record.Body{{Key: "a", Letter: "A", Make: "Testwerk", Model: "T1 Mark II", Serial: "1001"}, {Key: "b", Letter: "B", Make: "Testwerk", Model: "P9", Serial: "2002"}},
		Passes: []record.Pass{{Name: "keep"}, {Name: "retouch", Of: "keep", Answer: "yes"}},
		Scenes: []record.Scene{{ID: 0, Name: "Kirche"}, {ID: 1, Name: "Tanz Café"}},
	}}}
}

// known is a frame as a job would know it: the number gives its id.
func known(id int, name string, at time.Time) record.Known {
	return record.Known{
		Frame: cull.Frame{ID: cull.ID(fmt.Sprintf("%016x", id)), Name: name, Kind: "CR3", Body: "a", Taken: cull.Stamp{Wall: at.Add(-7 * time.Minute), ZoneIs: cull.ZoneUnknown},
			Files: []cull.File{{Path: name + ".CR3", Role: cull.RoleMain, Kind: "CR3"}}, Shot: cull.Shot{Width: 6000, Height: 4000, Orientation: 1}},
		Place:   cull.Place{Kind: cull.Single, Corrected: cull.Stamp{Wall: at, ZoneIs: cull.ZoneKnown, Zone: 120}},
		Answers: map[string]cull.Decision{},
	}
}

// put writes a file of the bag.
func (b *invented) put(path, content string) [32]byte {
	b.t.Helper()
	name := filepath.Join(b.dir, filepath.FromSlash(path))
	if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
		b.t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(content), 0o666); err != nil {
		b.t.Fatal(err)
	}
	return sha256.Sum256([]byte(content))
}

// keep puts a file of the job into the bag.
func (b *invented) keep(path string) {
	in := record.JobFolder + "/" + strings.ToValidUTF8(path, "_")
	content := b.content.Job.Name + ": " + path
	b.content.Files = append(b.content.Files, record.FileOf(path, in, "", store.Hex(b.put(in, content)), int64(len(content)), time.Time{}))
}

// add adds a frame whose files are all kept, but for its raw if it was dropped: of that
// there is a small picture.
func (b *invented) add(k record.Known) {
	k.Order = len(b.content.Frames)
	f := record.FrameOf(k)
	for i, file := range k.Frame.Files {
		if i > 0 || k.Answers["keep"].Answer != cull.No {
			b.keep(file.Path)
			continue
		}
		in := record.SmallFolder + "/" + strings.ToValidUTF8(file.Path, "_") + ".jpg"
		b.put(in, "small "+file.Path)
		f.Small = record.SmallOf(in, file.Path, "", 0, 1620, 1080)
		b.content.Files = append(b.content.Files, record.FileOf(file.Path, "", "dropped", "", 0, time.Time{}))
	}
	b.content.Frames = append(b.content.Frames, f)
}

// picture adds a finished picture; its file and those of its sets are kept.
func (b *invented) picture(path string, number int, frames []cull.ID, delivered ...record.Delivered) {
	b.keep(path)
	for _, d := range delivered {
		b.keep("sets/" + d.Set + "/" + d.File)
	}
	b.content.Pictures = append(b.content.Pictures, record.PictureOf(path, frames, number, delivered))
}

// write writes the record under its number.
func (b *invented) write() {
	b.t.Helper()
	b.put("bagit.txt", "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n")
	files, err := b.content.Encode()
	if err != nil {
		b.t.Fatal(err)
	}
	for name, text := range files {
		b.put(record.RunFolder(b.content.Job.Run)+"/"+name, string(text))
	}
}

// open opens places, none of which may be broken.
func open(t testing.TB, o Options, dirs ...string) *Library {
	t.Helper()
	l, err := Open(t.Context(), dirs, o)
	if err != nil || len(l.Broken()) > 0 {
		t.Fatalf("%v, %v", err, l.Broken())
	}
	return l
}

// found gives what a query finds as "JOB NAME KIND", a line each.
func found(t testing.TB, l *Library, q Query) []string {
	t.Helper()
	f, err := l.Find(t.Context(), q)
	if err != nil {
		t.Fatal(err)
	}
	out := []string{}
	for _, h := range f.Hits {
		out = append(out, fmt.Sprintf("%s %s %s", h.Job, h.Name, h.Best.Kind))
	}
	return out
}
