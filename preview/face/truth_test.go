package face

import (
	"bufio"
	"fmt"
	"image"
	"os"
	"strings"
	"testing"
)

// counted is one photograph of testdata/truth/faces.txt with what was counted in it by eye.
type counted struct {
	name, sum string
	w, h      int
	faces     []countedFace
	ignore    []image.Rectangle
}

type countedFace struct {
	x, y, w float64
	eyes    string // open, narrow, closed, unclear
	notes   string
	may     bool // it may fairly be missed
}

// box is the square of the width of the face round its middle.
func (c countedFace) box() Found {
	return Found{X: c.x - c.w/2, Y: c.y - c.w/2, W: c.w, H: c.w}
}

// truth is the count that package face was built with.
func truth(t testing.TB) []counted { return counts(t, "faces.txt") }

// counts reads a count, whose form the first lines of faces.txt explain.
func counts(t testing.TB, file string) []counted {
	t.Helper()
	f, err := os.Open("testdata/truth/" + file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var out []counted
	lines := bufio.NewScanner(f)
	for lines.Scan() {
		kind, rest, _ := strings.Cut(strings.TrimSpace(lines.Text()), " ")
		if kind == "" || kind[0] == '#' {
			continue
		}
		var err error
		if kind == "photo" {
			var c counted
			_, err = fmt.Sscanf(rest, "%s %dx%d %s", &c.name, &c.w, &c.h, &c.sum)
			out = append(out, c)
		} else if len(out) > 0 {
			err = out[len(out)-1].add(kind, rest)
		}
		if err != nil {
			t.Fatalf("%q: %v", lines.Text(), err)
		}
	}
	if err := lines.Err(); err != nil {
		t.Fatal(err)
	}
	return out
}

func (c *counted) add(kind, rest string) error {
	switch kind {
	case "face", "may":
		f := countedFace{may: kind == "may"}
		_, err := fmt.Sscanf(rest, "%f %f %f %s", &f.x, &f.y, &f.w, &f.eyes)
		if words := strings.Fields(rest); len(words) > 4 {
			f.notes = strings.Join(words[4:], " ")
		}
		c.faces = append(c.faces, f)
		return err
	case "ignore":
		var r image.Rectangle
		_, err := fmt.Sscanf(rest, "%d %d %d %d", &r.Min.X, &r.Min.Y, &r.Max.X, &r.Max.Y)
		c.ignore = append(c.ignore, r)
		return err
	}
	return fmt.Errorf("no kind of line: %s", kind)
}

// judged is what was found in one photograph, held against the count.
type judged struct {
	counted
	found  []Found
	of     []int   // for each counted face the found one, -1 = missed
	alarms []Found // found and not counted
}

// judge pairs what was found with what was counted: boxes that overlap by 0.3 at
// least, the best overlap first, each once.
func judge(c counted, found []Found) judged {
	j := judged{counted: c, found: found, of: make([]int, len(c.faces))}
	taken := make([]bool, len(found))
	for i := range j.of {
		j.of[i] = -1
	}
	for {
		best, bi, bk := sameFace, -1, -1
		for i, f := range c.faces {
			for k, g := range found {
				if j.of[i] >= 0 || taken[k] {
					continue
				}
				if v, _ := overlap(f.box(), g); v >= best {
					best, bi, bk = v, i, k
				}
			}
		}
		if bi < 0 {
			break
		}
		j.of[bi], taken[bk] = bk, true
	}
	for k, g := range found {
		mid, free := g.middle(), taken[k]
		for _, r := range c.ignore {
			free = free || image.Pt(int(mid.X), int(mid.Y)).In(r)
		}
		if !free {
			j.alarms = append(j.alarms, g)
		}
	}
	return j
}

// The count is what its own first lines say it is.
func TestTruthReads(t *testing.T) {
	photos, faces := truth(t), 0
	for _, c := range photos {
		for _, f := range c.faces {
			if !f.may {
				faces++
			}
			if f.x < 0 || f.y < 0 || f.x > float64(c.w) || f.y > float64(c.h) || f.w <= 0 || f.w > float64(c.w) || !strings.Contains("open narrow closed unclear", f.eyes) {
				t.Errorf("%s: %+v", c.name, f)
			}
		}
	}
	if len(photos) != 20 || faces != 91 {
		t.Errorf("%d faces in %d photographs", faces, len(photos))
	}
}
