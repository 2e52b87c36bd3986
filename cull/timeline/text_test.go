package timeline

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"

	"garner/cull"
)

var update = flag.Bool("update", false, "write the golden files anew")

// The drawings as they look, in three sizes.
func TestTextGoldens(t *testing.T) {
	for _, c := range []struct {
		name          string
		day           Day
		width, height int
		colour        bool
	}{
		{"wedding_80x24", wedding(6000), 80, 24, false}, {"wedding_120x40", wedding(6000), 120, 40, false}, {"wedding_120x40_colour", wedding(6000), 120, 40, true},
		{"wedding_40x10", wedding(6000), 40, 10, false}, {"short_100x30", short(), 100, 30, false}, {"two_days_100x24", twoDays(), 100, 24, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := strings.Join(c.day.Text(c.width, c.height, c.colour), "\n") + "\n"
			file := filepath.Join("testdata", c.name+".golden")
			if *update {
				if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if got != string(want) {
				t.Errorf("got\n%swant\n%s", got, want)
			}
		})
	}
}

// No line is wider than asked for and no drawing higher, whatever is drawn; without
// colour no control code is written, and with it the letters are the same.
func TestTextFits(t *testing.T) {
	days := map[string]Day{"wedding": wedding(2000), "short": short(), "two days": twoDays(), "nothing": {Name: "x"}, "hostile": hostile(), "one frame": {Name: "x", Scenes: []string{"01"}, Bodies: []string{"A"}, Frames: wedding(100).Frames[:1]}, "no time": {Name: "x", Frames: make([]Frame, 5)}}
	for name, d := range days {
		for _, w := range []int{0, 40, 41, 80, 133, 500} {
			for _, h := range []int{0, 10, 13, 24, 60} {
				plain, coloured := d.Text(w, h, false), d.Text(w, h, true)
				if len(plain) > max(h, minHeight) {
					t.Errorf("%s: %d lines in %dx%d", name, len(plain), w, h)
				}
				for i, line := range plain {
					if got := ansi.StringWidth(line); got > max(w, minWidth) || cull.Plain(line) != line {
						t.Errorf("%s: %d cells in %dx%d: %q", name, got, w, h, line)
					}
					if strings.TrimRight(ansi.Strip(coloured[i]), " ") != strings.TrimRight(line, " ") {
						t.Errorf("%s, %dx%d: with colour\n%s\nwithout\n%s", name, w, h, ansi.Strip(coloured[i]), line)
					}
				}
			}
		}
	}
}

// Every frame with a time is in one column, and the sums are right.
func TestChartCounts(t *testing.T) {
	for name, d := range map[string]Day{"wedding": wedding(3000), "short": short(), "two days": twoDays(), "hostile": hostile()} {
		for _, columns := range []int{1, 12, 100, 1000} {
			c := newChart(d, columns)
			n, bodies := 0, 0
			for _, b := range c.bins {
				for _, k := range b.frames {
					n += k
				}
				for _, k := range b.bodies {
					bodies += k
				}
			}
			if n+c.untime != len(d.Frames) || bodies > n {
				t.Errorf("%s on %d: %d drawn, %d without a time, of %d; %d of bodies", name, columns, n, c.untime, len(d.Frames), bodies)
			}
			if len(c.bins) > max(columns, leastColumns) || len(c.axis.parts) > 0 && c.axis.minutes <= 0 {
				t.Errorf("%s on %d: %d bins of %f minutes", name, columns, len(c.bins), c.axis.minutes)
			}
		}
	}
}

// A column says the frames a minute, whatever it is wide: 3 a minute for an hour.
func TestRate(t *testing.T) {
	d := Day{Scenes: []string{"01"}}
	for i := range 181 {
		d.Frames = append(d.Frames, Frame{At: morning.Add(time.Duration(i) * 20 * time.Second)})
	}
	for _, columns := range []int{12, 30, 60} {
		for i, b := range newChart(d, columns).bins {
			if b.rate < 1.99 || b.rate > 4 {
				t.Errorf("%d columns: %f a minute in %d", columns, b.rate, i)
			}
		}
	}
}

// Where frames had flash the curve has a gap, since their exposure says nothing.
func TestFlashIsAGap(t *testing.T) {
	d := Day{Scenes: []string{"01"}}
	for i := range 60 {
		d.Frames = append(d.Frames, Frame{At: morning.Add(time.Duration(i) * time.Minute), EV100: 8, HasEV: true, Flash: i >= 20 && i < 40})
	}
	c := newChart(d, 60)
	dark := 0
	for i := range c.bins {
		if _, ok := c.bins[i].middle(); !ok {
			dark++
		}
	}
	if dark < 19 || dark > 22 {
		t.Errorf("no light in %d columns, want about 20", dark)
	}
	curves := 0
	for _, s := range d.compose(func(_ class, s string) float64 { return 7 * float64(len(s)) }).shapes {
		if s.class == lightLine {
			curves++
		}
	}
	if curves != 2 {
		t.Errorf("%d curves, want one before and one after", curves)
	}
}

func TestPausesLeftOut(t *testing.T) {
	at := func(hours ...float64) (list []Frame) {
		for _, h := range hours {
			for m := range 10 {
				list = append(list, Frame{At: morning.Add(time.Duration(h*float64(time.Hour)) + time.Duration(m)*time.Minute)})
			}
		}
		return list
	}
	for name, c := range map[string]struct {
		frames []Frame
		parts  int
	}{
		"a day of short scenes":        {at(0, 2, 4), 3},
		"a night":                      {at(0, .2, .4, .6, 24, 24.2, 24.4, 24.6), 2},
		"a pause for dinner":           {at(0, .3, .6, .9, 1.2, 1.5, 2.5, 2.8, 3.1), 1},
		"a clock that was never set":   {append(at(-56000), at(0, .2, .4)...), 2},
		"more pauses than can be seen": {at(0, 30, 60, 90, 120, 150, 180, 210, 240, 270), 1},
	} {
		a := newAxis(c.frames, 24)
		if len(a.parts) != c.parts {
			t.Errorf("%s: %d parts: %+v", name, len(a.parts), a.parts)
		}
		last := -1.0
		for _, f := range c.frames {
			x := a.at(f.At)
			if x < last || x >= 24 {
				t.Errorf("%s: column %f after %f", name, x, last)
			}
			last = x
		}
	}
}

func TestNice(t *testing.T) {
	for in, want := range map[float64]float64{0: 1, -1: 1, 0.3: 0.3, 0.31: 0.4, 1: 1, 1.2: 1.5, 13: 15, 15: 15, 61: 80, 99: 100} {
		if got := nice(in); fmt.Sprintf("%.6f", got) != fmt.Sprintf("%.6f", want) {
			t.Errorf("nice(%v) = %v, want %v", in, got, want)
		}
	}
}
