package returned

import (
	"bytes"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"garner/cull"
	"garner/preview/jpeg"
	"garner/preview/pix"
	"garner/preview/pix/overlay"
	"garner/testdata/testneed"
)

// Frames of two videos, in bursts of six at ten a second (people who walk before a
// camera that stands still; a street that hardly moves), come back edited: a closer look
// takes none for its neighbour. Where nothing moves that can be seen it stays open.
func TestBursts(t *testing.T) {
	bursts := map[string][]string{}
	all, err := filepath.Glob(filepath.Join(testneed.Samples(t), "bursts/*/*.jpg"))
	if err != nil || len(all) < 72 {
		t.Fatalf("%d frames, %v", len(all), err)
	}
	for _, p := range all {
		key := filepath.Dir(p) + filepath.Base(p)[:3]
		bursts[key] = append(bursts[key], p)
	}
	var got counts
	n := 0
	for _, key := range slices.Sorted(maps.Keys(bursts)) {
		paths := bursts[key]
		var ids []cull.ID
		var pictures []*jpeg.Image
		var under []overlay.Picture
		for _, p := range paths {
			b, err := os.ReadFile(p)
			if err != nil {
				t.Fatal(err)
			}
			m, err := jpeg.Decode(b, jpeg.Options{})
			if err != nil {
				t.Fatal(err)
			}
			ids, pictures = append(ids, cull.ID(filepath.Base(p))), append(pictures, m)
			under = append(under, overlay.NewFrame(pix.Fit(m, overlay.FrameEdge)))
		}
		for i, m := range pictures {
			as := edits[n%len(edits)]
			n++
			var b bytes.Buffer
			if err := jpeg.Encode(&b, as.of(m), 80); err != nil {
				t.Fatal(err)
			}
			back, err := jpeg.Decode(b.Bytes(), jpeg.Options{})
			if err != nil {
				t.Fatal(err)
			}
			switch c := judged(ids, under, overlay.New(back)); c.Shows {
			case "":
				got.open++
			case ids[i]:
				got.right++
			default:
				got.wrong++
				t.Errorf("%s, %s, is taken for %s", ids[i], as.name, c.Shows)
			}
		}
	}
	t.Logf("%d pictures: right %d, wrong %d, open %d", n, got.right, got.wrong, got.open)
	if got.right < n/2 {
		t.Errorf("of %d pictures %d are right", n, got.right)
	}
}
