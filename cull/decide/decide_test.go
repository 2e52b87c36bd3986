package decide

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"garner/cull"
	"garner/cull/job"
)

// testJob is a job of n frames A/F_01, A/F_02, …; every three are a burst.
func testJob(t *testing.T, n int) *job.Job {
	t.Helper()
	j, err := job.Open(t.TempDir(), job.Options{Who: "anna", Now: tick()})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { j.Close() })
	var frames []cull.Frame
	l := cull.Layout{Scenes: []cull.Scene{{ID: 0, Name: "01", First: id(1)}}}
	for i := 1; i <= n; i++ {
		name := fmt.Sprintf("A/F_%02d", i)
		frames = append(frames, cull.Frame{ID: id(i), Name: name, Kind: "DNG", Files: []cull.File{{Path: name + ".DNG", Role: cull.RoleMain, Size: int64(i)}}})
		l.Places = append(l.Places, cull.Place{Frame: id(i), Moment: (i - 1) / 3, Kind: cull.Burst})
	}
	if err := j.SaveFrames(frames); err != nil {
		t.Fatal(err)
	}
	if err := j.SaveLayout(l); err != nil {
		t.Fatal(err)
	}
	return j
}

func id(i int) cull.ID { return cull.ID(fmt.Sprintf("%016x", 0xabc000+i)) }

// tick is a clock that goes on by a second at every look.
func tick() func() time.Time {
	t := time.Date(2026, 6, 13, 12, 0, 0, 0, time.UTC)
	return func() time.Time { t = t.Add(time.Second); return t }
}

func answer(t *testing.T, j *job.Job, who string, in io.Reader) (string, Summary) {
	t.Helper()
	var out bytes.Buffer
	sum, err := Run(context.Background(), j, in, &out, Options{Who: who, Now: tick()})
	if err != nil {
		t.Fatal(err)
	}
	return out.String(), sum
}

func TestAnswers(t *testing.T) {
	j := testJob(t, 6)
	out, sum := answer(t, j, "anna", strings.NewReader(`keep A/F_01
burst drop A/F_02
undo
redo
only F_05

; a comment
part F_06
open A/F_01
keep #abc
keep "A/F_\u001b[2J"
undo
undo
undo
undo
undo
undo`))
	want := `ok keep A/F_01
ok burst drop A/F_02 ; 2 dropped, never shown
ok undo ; 2 open again: A/F_02, A/F_03
ok redo ; 2 dropped again: A/F_02, A/F_03
ok only F_05 ; 1 kept, never shown; 2 dropped, never shown
ok part F_06
ok open A/F_01
no keep #abc : `
	if !strings.HasPrefix(out, want) {
		t.Errorf("got\n%s", out)
	}
	if strings.Contains(out, "\x1b") {
		t.Error("an escape sequence reached the output")
	}
	if last := out[strings.LastIndex(strings.TrimSpace(out), "\n")+1:]; !strings.HasPrefix(last, "no undo : ") {
		t.Errorf("the undo beyond the beginning: %q", last)
	}
	if sum.Done != 12 || sum.Refused != 3 {
		t.Errorf("%+v", sum)
	}
}

// Lines that come one by one and lines that come together end in the same
// state; undo between them always means the line before it.
func TestBatchesAndSingleLinesAgree(t *testing.T) {
	lines := "keep A/F_01\ndrop A/F_02\nundo\nkeep A/F_03\nburst drop A/F_04\nundo\nredo\ndrop A/F_01\nundo\nundo\n"
	var dumps [2]bytes.Buffer
	for i, in := range []io.Reader{strings.NewReader(lines), iotest.OneByteReader(strings.NewReader(lines))} {
		j := testJob(t, 6)
		if _, sum := answer(t, j, "anna", in); sum.Refused != 0 {
			t.Errorf("%+v", sum)
		}
		if err := Dump(j, &dumps[i]); err != nil {
			t.Fatal(err)
		}
	}
	strip := func(b bytes.Buffer) string {
		var keep []string
		for l := range strings.Lines(b.String()) {
			keep = append(keep, l[:strings.Index(l, " ;")])
		}
		return strings.Join(keep, "\n")
	}
	if a, b := strip(dumps[0]), strip(dumps[1]); a != b || a == "" {
		t.Errorf("together:\n%s\none by one:\n%s", a, b)
	}
}

func TestMergeKeepsWhoAndWhenAndRefusesConflicts(t *testing.T) {
	ben := testJob(t, 6)
	answer(t, ben, "ben", strings.NewReader("keep A/F_01\ndrop A/F_02\nburst drop A/F_04\nkeep A/F_03\n"))
	var theirs bytes.Buffer
	if err := Dump(ben, &theirs); err != nil {
		t.Fatal(err)
	}
	anna := testJob(t, 6)
	answer(t, anna, "anna", strings.NewReader("drop A/F_01\nkeep A/F_05\n"))
	out, sum := answer(t, anna, "anna", &theirs)
	if sum.Refused != 2 || !strings.Contains(out, "conflict: A/F_01: anna says drop, ben says keep") {
		// F_01 disagrees; F_05 was dropped by ben's burst key only, which never
		// overturns what anna decided by itself.
		t.Errorf("%+v\n%s", sum, out)
	}
	d, err := anna.Decisions(cull.KeepPass)
	if err != nil {
		t.Fatal(err)
	}
	if d[id(1)].Answer != cull.No || d[id(5)].Answer != cull.Yes {
		t.Errorf("anna's own answers: %+v %+v", d[id(1)], d[id(5)])
	}
	if got := d[id(2)]; got.Answer != cull.No || got.Who != "ben" || !got.Explicit {
		t.Errorf("ben's answer: %+v", got)
	}
	if got := d[id(4)]; got.Answer != cull.No || got.Explicit {
		t.Errorf("ben's burst: %+v", got)
	}
}

// A session that was opened before somebody else wrote to the journal (a new
// body's letter) goes on from what stands.
// What one person keeps as material for a merge is not dropped by another one's burst
// key.
func TestMergeLeavesMaterial(t *testing.T) {
	ben := testJob(t, 6)
	answer(t, ben, "ben", strings.NewReader("burst drop A/F_04\n"))
	var theirs bytes.Buffer
	if err := Dump(ben, &theirs); err != nil {
		t.Fatal(err)
	}
	anna := testJob(t, 6)
	answer(t, anna, "anna", strings.NewReader("merge A/F_04\n"))
	before, err := anna.Decisions(cull.KeepPass)
	if err != nil {
		t.Fatal(err)
	}
	material := 0
	for _, d := range before {
		if d.Answer == cull.Part {
			material++
		}
	}
	if material == 0 {
		t.Fatal("the moment has no material")
	}
	answer(t, anna, "anna", &theirs)
	after, err := anna.Decisions(cull.KeepPass)
	if err != nil {
		t.Fatal(err)
	}
	for id, d := range before {
		if after[id].Answer != d.Answer {
			t.Errorf("%s was %v and is %v", id, d.Answer, after[id].Answer)
		}
	}
}

func TestForeignEntryInBetween(t *testing.T) {
	j := testJob(t, 6)
	r, w := io.Pipe()
	var out bytes.Buffer
	done := make(chan error)
	go func() {
		_, err := Run(context.Background(), j, r, &out, Options{Who: "anna", Now: tick()})
		done <- err
	}()
	io.WriteString(w, "keep A/F_01\n")
	io.WriteString(w, "") // the first line is read before the entry below
	if _, err := j.Append(job.Letter("model:X", "B")); err != nil {
		t.Fatal(err)
	}
	io.WriteString(w, "drop A/F_02\nundo\nkeep A/F_03\n")
	w.Close()
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	d, _ := j.Decisions(cull.KeepPass)
	if d[id(1)].Answer != cull.Yes || d[id(2)].Answer != cull.Open || d[id(3)].Answer != cull.Yes {
		t.Errorf("%+v\n%s", d, out.String())
	}
	if bad, err := j.Check(); err != nil || len(bad) > 0 {
		t.Errorf("%v %v", bad, err)
	}
}

func TestInputThatFails(t *testing.T) {
	j := testJob(t, 3)
	var out bytes.Buffer
	in := io.MultiReader(strings.NewReader("keep A/F_01\n"), iotest.ErrReader(errors.New("the pipe broke")))
	sum, err := Run(context.Background(), j, in, &out, Options{Who: "anna", Now: tick()})
	if err == nil || sum.Done != 1 || out.String() != "ok keep A/F_01\n" {
		t.Errorf("%+v %v %q", sum, err, out.String())
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Run(ctx, j, strings.NewReader("keep A/F_02\n"), &out, Options{Who: "anna", Now: tick()}); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

func TestLongLineIsRefusedAndTheNextIsRead(t *testing.T) {
	j := testJob(t, 3)
	out, sum := answer(t, j, "anna", strings.NewReader("keep "+strings.Repeat("x", cull.MaxLine+5)+"\nkeep A/F_01\n"))
	if sum.Done != 1 || sum.Refused != 1 || !strings.Contains(out, "longer than") || len(out) > 1000 {
		t.Errorf("%+v %.300q", sum, out)
	}
}

func FuzzLines(f *testing.F) {
	f.Add([]byte("keep A\r\n\n;x\nundo"), 7)
	f.Fuzz(func(t *testing.T, data []byte, chunk int) {
		r := bufio.NewReaderSize(&chunked{data, 1 + (chunk & 0xff)}, 64)
		var got []string
		for {
			lines, err := nextLines(r)
			if len(lines) > maxBatch {
				t.Fatalf("%d lines in a batch", len(lines))
			}
			for _, l := range lines {
				if strings.Contains(l.text, "\n") {
					t.Fatalf("a line with a line break: %q", l.text)
				}
				if l.err == nil {
					got = append(got, l.text)
				}
			}
			if err != nil {
				break
			}
		}
		var want []string
		for _, l := range strings.Split(strings.TrimSuffix(string(data), "\n"), "\n") {
			if len(data) > 0 && len(l) < cull.MaxLine {
				want = append(want, strings.TrimRight(l, "\r\n"))
			}
		}
		if len(data) < cull.MaxLine && strings.Join(got, "\n") != strings.Join(want, "\n") {
			t.Fatalf("got %q, want %q", got, want)
		}
	})
}

type chunked struct {
	data []byte
	n    int
}

func (c *chunked) Read(p []byte) (int, error) {
	if len(c.data) == 0 {
		return 0, io.EOF
	}
	n := copy(p, c.data[:min(c.n, len(c.data))])
	c.data = c.data[n:]
	return n, nil
}
