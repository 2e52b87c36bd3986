package reopen

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/cull/measure"
)

// A job that was opened is ready at once: its thumbnails and measures are those of the
// record, and nothing is made or measured anew.
func TestReadyAtOnce(t *testing.T) {
	b := newBench(t)
	j := b.open(b.dir)
	done, err := measure.Run(context.Background(), j, measure.Options{Workers: 2})
	b.must(err)
	b.bag = b.archive(j, filepath.Dir(b.bag))
	was, err := j.Measures()
	b.must(err)
	j.Close()

	dir := filepath.Join(t.TempDir(), "again")
	b.reopen(dir)
	j = b.open(dir)
	defer j.Close()
	if sum := b.prepare(j); sum.Made != 0 || sum.Cached != demoFrames-b.broken {
		t.Errorf("%d pictures are made again, %d were there", sum.Made, sum.Cached)
	}
	again, err := measure.Run(context.Background(), j, measure.Options{Workers: 2})
	b.must(err)
	if again.Measured != 0 || again.Known != done.Measured || done.Measured == 0 {
		t.Errorf("%d of %d are measured again", again.Measured, done.Measured)
	}
	is, err := j.Measures()
	b.must(err)
	for id, m := range was {
		// A record has five digits.
		if got := is[id]; got.Focus.Width != m.Focus.Width || len(got.Focus.Spots) != len(m.Focus.Spots) || math.Abs(got.Light.AnyHigh-m.Light.AnyHigh) > 1e-4 {
			t.Errorf("%s: %+v, was %+v", id, got.Light, m.Light)
		}
	}
}

// A thumbnail of another picture, or one that does not decode, is not taken over, nor are
// measures of pixels of which there are not as many: these are made and measured anew.
func TestForeignThumb(t *testing.T) {
	b := newBench(t)
	j := b.open(b.dir)
	id := cull.ID("")
	frames, err := j.Frames()
	b.must(err)
	for of, f := range frames {
		if f.CanBeShown() && (id == "" || of < id) {
			id = of
		}
	}
	_, err = measure.Run(context.Background(), j, measure.Options{Workers: 2})
	b.must(err)
	b.bag = b.archive(j, filepath.Dir(b.bag))
	j.Close()
	r, err := record.Open(b.bag)
	b.must(err)
	spans := map[cull.ID]string{}
	var other, cut string
	for f, err := range r.Frames() {
		b.must(err)
		if f.Thumb == nil {
			continue
		}
		text, err := json.Marshal(f.Thumb)
		b.must(err)
		spans[f.ID] = string(text)
		if f.ID != id {
			other = string(text) // of the last moment
		}
		cut = fmt.Sprintf(`{"offset":%d,"length":%d}`, f.Thumb.Offset, f.Thumb.Length/2)
	}
	var victims []string
	for of, span := range spans {
		if span != other && len(victims) < 2 && of != id {
			victims = append(victims, span)
		}
	}
	b.edit(record.RunFolder(r.Job.Run)+"/"+record.FramesName, func(s string) string {
		s = strings.Replace(s, `"thumb":`+victims[0], `"thumb":`+cut, 1)
		lines := strings.SplitAfter(s, "\n")
		for i, line := range lines {
			if strings.Contains(line, `"id":"`+string(id)+`"`) {
				line = strings.Replace(line, `"thumb":`+spans[id], `"thumb":`+other, 1)
				lines[i] = strings.Replace(line, `"width_px":`, `"width_px":9`, 1)
			}
		}
		return strings.Join(lines, "")
	})
	dir := filepath.Join(t.TempDir(), "again")
	b.reopen(dir)
	j = b.open(dir)
	defer j.Close()
	if sum := b.prepare(j); sum.Made != 2 {
		t.Errorf("%d pictures are made again, want 2", sum.Made)
	}
	again, err := measure.Run(context.Background(), j, measure.Options{Workers: 2})
	b.must(err)
	if again.Measured != 1 {
		t.Errorf("%d are measured again, want 1", again.Measured)
	}
}
