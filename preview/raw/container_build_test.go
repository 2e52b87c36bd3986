package raw_test

import (
	"bytes"
	"testing"
	"time"

	"garner/preview/build"
	"garner/preview/internal/craft"
	"garner/preview/raw"
)

// The demo's writer follows the published layouts on its own: what it puts into a
// file is what is found in it, byte for byte.
func TestContainersOfTheDemoWriter(t *testing.T) {
	full, screen, thumb := craft.JPEG(sof0, 6000, 4000, 900), craft.JPEG(sof0, 1620, 1080, 300), craft.JPEG(sof0, 160, 120, 90)
	shot := build.Shot{
		Make: "Maker", Model: "Model", Serial: "0042", Orientation: 6, ISO: 800, Width: 6000, Height: 4000,
		Taken:   build.Clock{Wall: time.Date(2026, 6, 13, 14, 2, 11, 130_000_000, time.UTC), Digits: 2, Zone: 120, HasZone: true},
		Seconds: build.Rational{Num: 1, Den: 250}, FNumber: build.Rational{Num: 28, Den: 10},
	}
	for _, c := range []struct {
		kind  raw.Kind
		write func(build.Shot, build.Pictures) ([]byte, error)
		want  [][]byte // whole, the largest first; nil = another file around the picture
	}{
		{"CR3", build.CR3, [][]byte{full, screen, thumb}},
		{"RAF", build.RAF, [][]byte{nil, thumb}},
	} {
		data, err := c.write(shot, build.Pictures{Full: full, Screen: screen, Thumb: thumb})
		if err != nil {
			t.Fatal(err)
		}
		f, err := located(t, data)
		if err != nil {
			t.Fatal(err)
		}
		if f.Kind != c.kind || len(f.Previews) != len(c.want) {
			t.Fatalf("%s: %+v", f.Kind, f.Previews)
		}
		for i, w := range c.want {
			p := f.Previews[i]
			got := bytes.TrimRight(data[p.Offset:p.Offset+p.Length], "\x00") // boxes may be padded
			if w != nil && !bytes.Equal(got, w) || w == nil && p.Width != 6000 {
				t.Errorf("%s: preview %d is %+v", c.kind, i, p)
			}
		}
		m := f.Meta
		if m.Model != "Model" || m.Serial != "0042" || m.Orientation != 6 || m.ISO != 800 || m.Seconds != 1.0/250 || m.FNumber != 2.8 ||
			m.Width != 6000 || m.Height != 4000 || !m.Taken.Wall.Equal(shot.Taken.Wall) || m.Taken.Zone != 120 {
			t.Errorf("%s: %+v", c.kind, m)
		}
		holdProblem(t, f, "", "")
	}
}
