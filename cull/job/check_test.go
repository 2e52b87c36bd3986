package job_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"garner/cull"
	"garner/cull/job"
	"garner/store/catalog"
)

// Check finds what it is there for, and says which frame or line it is.
func TestCheckFinds(t *testing.T) {
	inCatalogue := func(change func(*catalog.Tx) error) func(string) error {
		return func(dir string) error { return catalog.New(catalogFile(dir), catalog.Options{}).Update(change) }
	}
	inText := func(change func(string) string) func(string) error {
		return func(dir string) error {
			b, err := os.ReadFile(journalFile(dir))
			if err != nil {
				return err
			}
			return os.WriteFile(journalFile(dir), []byte(change(string(b))), 0o666)
		}
	}
	lastLine := func(s string) string { return s[strings.LastIndex(s[:len(s)-1], "\n")+1:] }
	for _, c := range []struct {
		name  string
		spoil func(dir string) error
		want  string
	}{
		{"an answer that nobody gave", inCatalogue(func(tx *catalog.Tx) error {
			return tx.State("keep").Put(string(frameID(20)), catalog.State{Answer: 1, Seq: 3})
		}), "frame " + string(frameID(20)) + " stands in the pass keep as yes, the journal says open"},
		{"an answer that is gone", inCatalogue(func(tx *catalog.Tx) error {
			return tx.State("keep").Delete(string(frameID(0)))
		}), "frame " + string(frameID(0)) + " has no decision in the pass keep, the journal says yes"},
		{"somebody else's answer", inCatalogue(func(tx *catalog.Tx) error {
			s, _, err := tx.State("keep").Get(string(frameID(0)))
			s.Who = "ben"
			return errors.Join(err, tx.State("keep").Put(string(frameID(0)), s))
		}), "stands in the pass keep as yes"},
		{"a pass that nobody answered in", inCatalogue(func(tx *catalog.Tx) error {
			return tx.State("rescue").Put(string(frameID(0)), catalog.State{Answer: 2})
		}), "in the pass rescue"},
		{"a pass that nobody defined", inCatalogue(func(tx *catalog.Tx) error {
			return tx.Passes().Put("rescue", catalog.Pass{})
		}), "the passes are stored as"},
		{"an entry under another number", inCatalogue(func(tx *catalog.Tx) error {
			e, _, err := tx.Journal().Get(catalog.SeqKey(2))
			return errors.Join(err, tx.Journal().Put(catalog.SeqKey(99), e))
		}), "entry 99 of the catalogue can't be read"},
		{"a path of nobody", inCatalogue(func(tx *catalog.Tx) error {
			return tx.Paths().Put("x", catalog.Path{Frame: "nobody"})
		}), "path x is listed for frame nobody"},
		{"a line gone", inText(func(s string) string { return strings.TrimSuffix(s, lastLine(s)) }), "journal.txt lacks 1 entry"},
		{"a line torn", inText(func(s string) string { return s[:len(s)-9] }), "the last line of journal.txt is torn"},
		{"a line spoilt", inText(func(s string) string { return strings.Replace(s, "who=\"anna\"", "who=\"bert\"", 1) }), "can't be used"},
		{"a line too many", inText(func(s string) string {
			return s + cull.FormatEntry(cull.Entry{Seq: 77, At: begin, Verb: cull.VerbCorrect, Args: []string{"x"}}) + "\n"
		}), "the catalogue lacks entry 77"},
		{"no journal.txt", func(dir string) error { return os.Remove(journalFile(dir)) }, "journal.txt is missing"},
		{"a damaged page", func(dir string) error {
			b, err := os.ReadFile(catalogFile(dir))
			if err != nil {
				return err
			}
			return os.WriteFile(catalogFile(dir), []byte(strings.ReplaceAll(string(b), "85 mm", "58 mm")), 0o666)
		}, "checksum is wrong"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir, _ := decidedJob(t)
			j := open(t, dir)
			must(t, c.spoil(dir))
			found, err := j.Check()
			if err != nil || !strings.Contains(strings.Join(found, "\n"), c.want) {
				t.Errorf("%q, %v, want %q", found, err, c.want)
			}
		})
	}
}

// The disk is full for journal.txt but not for the catalogue: the decision is
// kept and returned with the error, and the line comes later.
func TestJournalCannotBeWritten(t *testing.T) {
	dir, _ := decidedJob(t)
	j := open(t, dir)
	aside := filepath.Join(dir, "aside")
	must(t, os.Rename(journalFile(dir), aside))
	must(t, os.Mkdir(journalFile(dir), 0o777)) // nothing can be written to a folder
	kept, err := j.Append(cull.Entry{Verb: cull.VerbCorrect, Args: []string{"x"}})
	if !errors.Is(err, job.ErrJournal) || len(kept) != 1 || kept[0].Seq != 14 {
		t.Fatalf("%+v %v", kept, err)
	}
	must(t, os.Remove(journalFile(dir)))
	must(t, os.Rename(aside, journalFile(dir)))
	_, err = j.Append(cull.Entry{Verb: cull.VerbCorrect, Args: []string{"y"}})
	must(t, err)
	sound(t, j)
}

// Undo of an entry whose line was lost leaves what the undo itself says, as in a
// session.
func TestUndoOfALostEntry(t *testing.T) {
	j := sample(t, 4)
	_, err := j.Append(
		cull.Entry{Verb: cull.VerbAnswer, Pass: "keep", Changes: []cull.Change{{Frame: frameID(0), After: cull.Yes}}},
		cull.Entry{Verb: cull.VerbUndo, Pass: "keep", Of: 400, Changes: []cull.Change{{Frame: frameID(0), Before: cull.Yes, After: cull.No, Shown: true}}},
	)
	must(t, err)
	d, err := j.Decisions("keep")
	must(t, err)
	if got := d[frameID(0)]; got.Answer != cull.No || !got.Shown || got.Seq != 2 {
		t.Errorf("%+v", got)
	}
}

func TestSmallRecords(t *testing.T) {
	j := sample(t, 2)
	must(t, j.PutEvidence("sharp", map[cull.ID][]byte{frameID(0): {1}, frameID(1): {}}))
	must(t, j.PutEvidence("sharp", map[cull.ID][]byte{frameID(0): {2}}))
	e, err := j.Evidence("sharp")
	if err != nil || len(e) != 2 || e[frameID(0)][0] != 2 || e[frameID(1)] == nil {
		t.Errorf("%v %v", e, err)
	}
	if e, err := j.Evidence("other"); err != nil || len(e) != 0 {
		t.Errorf("%v %v", e, err)
	}
	if _, err := j.Evidence(""); err == nil {
		t.Error("evidence of no method")
	}
	if err := j.PutEvidence("", nil); err == nil {
		t.Error("evidence of no method")
	}
	must(t, j.SetWrote(map[string][]byte{"a.xmp": []byte("1"), "b.xmp": []byte("2")}))
	must(t, j.SetWrote(map[string][]byte{"a.xmp": nil, "b.xmp": []byte("3"), "none.xmp": nil}))
	all, err := j.AllWrote()
	if err != nil || len(all) != 1 || string(all["b.xmp"]) != "3" {
		t.Errorf("%q %v", all, err)
	}
	if _, ok, err := j.Wrote("a.xmp"); ok || err != nil {
		t.Errorf("%v %v", ok, err)
	}
	must(t, j.SaveOthers([]job.Other{{"a", "x"}, {"b", "y"}}))
	must(t, j.SaveOthers([]job.Other{{"c", "z"}}))
	if o, err := j.Others(); err != nil || len(o) != 1 || o[0] != (job.Other{Path: "c", Why: "z"}) {
		t.Errorf("%v %v", o, err)
	}
}

func TestFramesTakePaths(t *testing.T) {
	j := sample(t, 3)
	// Two frames change files, in one go and in either order.
	a, b := sampleFrame(0), sampleFrame(1)
	a.Files, b.Files = b.Files, a.Files
	a.Previews, b.Previews = b.Previews, a.Previews
	for _, order := range [][]cull.Frame{{a, b}, {sampleFrame(1), sampleFrame(0)}} {
		must(t, j.SaveFrames(order))
		frames, err := j.Frames()
		must(t, err)
		for _, f := range order {
			same(t, "frame", f, frames[f.ID])
		}
		sound(t, j)
	}
	// All or none.
	c := sampleFrame(2)
	c.Name = "changed"
	if err := j.SaveFrames([]cull.Frame{c, {}}); err == nil {
		t.Error("a frame without an id was saved")
	}
	frames, err := j.Frames()
	must(t, err)
	if frames[c.ID].Name == "changed" {
		t.Error("half of what failed was saved")
	}
}

// Two frames that were both decided turn out to be one: the later answer stands.
func TestTwoDecidedFramesBecomeOne(t *testing.T) {
	j := sample(t, 4)
	s := session(t, j)
	for _, a := range []cull.Action{
		cull.Decide{Pass: "keep", Frames: []cull.ID{frameID(0)}, Answer: cull.Yes},
		cull.Decide{Pass: "keep", Frames: []cull.ID{frameID(1)}, Answer: cull.No},
	} {
		if _, err := do(t, j, s, a); err != nil {
			t.Fatal(err)
		}
	}
	must(t, j.PutEvidence("m", map[cull.ID][]byte{frameID(0): {0}, frameID(1): {1}}))
	one := sampleFrame(0)
	one.Aliases = []cull.ID{frameID(1)}
	// As long as the other has files of its own it is a frame, whatever is said.
	must(t, j.SaveFrames([]cull.Frame{one}))
	if frames, err := j.Frames(); err != nil || len(frames) != 4 {
		t.Fatalf("%d frames, %v", len(frames), err)
	}
	must(t, j.ReplaceFiles(map[cull.ID][]cull.File{frameID(1): nil}))
	must(t, j.SaveFrames([]cull.Frame{one}))
	d, err := j.Decisions("keep")
	must(t, err)
	if len(d) != 1 || d[frameID(0)].Answer != cull.No {
		t.Errorf("%v", d)
	}
	e, err := j.Evidence("m")
	must(t, err)
	if len(e) != 1 || e[frameID(0)][0] != 0 {
		t.Errorf("%v", e)
	}
	frames, err := j.Frames()
	must(t, err)
	if _, still := frames[frameID(1)]; still || len(frames) != 3 {
		t.Errorf("%d frames", len(frames))
	}
	// And the other way round: what the frame itself has is later.
	if _, err := do(t, j, s, cull.Decide{Pass: "keep", Frames: []cull.ID{frameID(2)}, Answer: cull.Part}); err != nil {
		t.Fatal(err)
	}
	if _, err := do(t, j, s, cull.Decide{Pass: "keep", Frames: []cull.ID{frameID(3)}, Answer: cull.Yes}); err != nil {
		t.Fatal(err)
	}
	other := sampleFrame(3)
	other.Aliases = []cull.ID{frameID(2)}
	must(t, j.ReplaceFiles(map[cull.ID][]cull.File{frameID(2): nil}))
	must(t, j.SaveFrames([]cull.Frame{other}))
	if d, err := j.Decisions("keep"); err != nil || len(d) != 2 || d[frameID(3)].Answer != cull.Yes {
		t.Errorf("%v %v", d, err)
	}
	if s := session(t, j); s.Decision("keep", frameID(0)).Answer != cull.No || s.Decision("keep", frameID(1)).Answer != cull.No {
		t.Error("the session says otherwise")
	}
	// A name once known stays one, also when a later scan does not know it.
	must(t, j.SaveFrames([]cull.Frame{sampleFrame(0)}))
	if a, err := j.Aliases(); err != nil || a[frameID(1)] != frameID(0) {
		t.Errorf("%v %v", a, err)
	}
}

// An entry made by hand that names a frame twice: undo goes backwards.
func TestAFrameTwiceInOneEntry(t *testing.T) {
	j := sample(t, 4)
	answer := func(changes ...cull.Change) cull.Entry {
		return cull.Entry{Verb: cull.VerbAnswer, Pass: "keep", Changes: changes}
	}
	kept, err := j.Append(
		answer(cull.Change{Frame: frameID(0), After: cull.Part}),
		answer(cull.Change{Frame: frameID(0), Before: cull.Part, After: cull.Yes}, cull.Change{Frame: frameID(0), Before: cull.Yes, After: cull.No}),
	)
	must(t, err)
	_, err = j.Append(cull.Entry{Verb: cull.VerbUndo, Pass: "keep", Of: kept[1].Seq, Changes: []cull.Change{{Frame: frameID(0), Before: cull.No, After: cull.Part}}})
	must(t, err)
	d, err := j.Decisions("keep")
	must(t, err)
	if got := d[frameID(0)]; got.Answer != cull.Part || got.Seq != 1 {
		t.Errorf("%+v", got)
	}
}
