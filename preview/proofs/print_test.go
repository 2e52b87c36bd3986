package proofs

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// printed makes contact sheets of a page and its files.
func printed(t testing.TB, p *Page, s Sheet, files map[string][]byte) ([]byte, []string) {
	t.Helper()
	var b bytes.Buffer
	replaced, err := p.PDF(&b, s, func(name string) ([]byte, error) {
		if f, ok := files[name]; ok {
			return f, nil
		}
		return nil, errors.New("no such file")
	})
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes(), replaced
}

func TestPDF(t *testing.T) {
	p, files := invented(t)
	pdf, replaced := printed(t, p, Sheet{}, files)
	if again, _ := printed(t, p, Sheet{}, files); !bytes.Equal(pdf, again) {
		t.Error("a second time it is another file")
	}
	want := []string{"Studio Łódź", "0403 ч/б", "חתונה 2026", "Церковь"}
	for _, s := range want {
		if !slices.Contains(replaced, s) {
			t.Errorf("%q is not among the texts that were replaced: %q", s, replaced)
		}
	}
	if slices.Contains(replaced, "Anna & Jørgen") || slices.Contains(replaced, "0401") {
		t.Errorf("replaced %q", replaced)
	}
	// ISO 32000-1, 7.5.4: every entry of the table is 20 bytes and leads to its object.
	at := bytes.LastIndex(pdf, []byte("\nxref\n0 ")) + 1
	if !bytes.HasSuffix(pdf, fmt.Appendf(nil, "startxref\n%d\n%%%%EOF\n", at)) {
		t.Error("the table is elsewhere")
	}
	rows := strings.SplitAfter(string(pdf[at:]), "\n")
	n, err := strconv.Atoi(strings.TrimSpace(strings.TrimPrefix(rows[1], "0 ")))
	if err != nil || n < 40 {
		t.Fatalf("%q: %v", rows[1], err)
	}
	for i := 1; i < n; i++ {
		place, err := strconv.Atoi(rows[2+i][:10])
		if err != nil || len(rows[2+i]) != 20 || !bytes.HasPrefix(pdf[place:], fmt.Appendf(nil, "%d 0 obj\n", i)) {
			t.Fatalf("object %d: %q (%v)", i, rows[2+i], err)
		}
	}
	if dates := regexp.MustCompile(`/(Creation|Mod)Date`).Find(pdf); dates != nil {
		t.Errorf("the file tells a time: %s", dates)
	}
}

// Every picture has one place on a page, inside the margins and clear of all others;
// no heading is without a row below it.
func TestLeaves(t *testing.T) {
	for _, s := range []Sheet{{Columns: 4, Rows: 5}, {Paper: Letter, Columns: 1, Rows: 1}, {Columns: 12, Rows: 16}, {Paper: Letter, Columns: 5, Rows: 3}} {
		for _, counts := range [][]int{{1}, {4, 1, 1, 1, 1, 1, 1, 9}, {20, 20}, {19, 2, 61}, {200}} {
			l := &laid{}
			shapes := [][2]int{{480, 320}, {320, 480}, {480, 10}, {480, 320}, {480, 320}, {480, 320}, {480, 320}, {480, 320}, {480, 320}, {10, 480}}
			for i, n := range counts {
				one := scene{pictures: make([]picture, n)}
				for j := range one.pictures {
					shape := shapes[(i+j)%len(shapes)]
					one.pictures[j].small = File{Width: shape[0], Height: shape[1]}
				}
				l.scenes = append(l.scenes, one)
			}
			seen := map[[2]int]int{}
			paper := papers[s.Paper]
			for i, page := range leaves(l, s) {
				for j, a := range page.places {
					seen[[2]int{a.scene, a.picture}]++
					if a.x < margin-0.01 || a.x+a.w > paper.width-margin+0.01 || a.y-numRoom < margin+footRoom-0.01 || a.y+a.h > paper.height-margin-headRoom+0.01 || a.w < 10 || a.h < 10 {
						t.Fatalf("%+v of %v: page %d: place %+v", s, counts, i, a)
					}
					// A row has no more room above it than its pictures need.
					row := slices.DeleteFunc(slices.Clone(page.places), func(b placed) bool { return b.y != a.y })
					high := slices.ContainsFunc(row, func(b placed) bool {
						small := l.scenes[b.scene].pictures[b.picture].small
						_, _, _, h := b.fit(small.Width, small.Height)
						return h > b.h-0.01
					})
					if !high && a.h > 10 {
						t.Fatalf("%+v of %v: page %d: a row of %g points that no picture fills", s, counts, i, a.h)
					}
					for _, b := range page.places[:j] {
						if a.x < b.x+b.w && b.x < a.x+a.w && a.y-numRoom < b.y+b.h && b.y-numRoom < a.y+a.h {
							t.Fatalf("%+v of %v: page %d: %+v over %+v", s, counts, i, a, b)
						}
					}
				}
				if len(page.names) == 0 {
					t.Errorf("%+v of %v: page %d begins without a heading", s, counts, i)
				}
				for _, name := range page.names {
					if !slices.ContainsFunc(page.places, func(a placed) bool { return a.scene == name.scene && a.y+a.h < name.y }) {
						t.Errorf("%+v of %v: page %d: heading %+v has nothing below it", s, counts, i, name)
					}
				}
			}
			for i, n := range counts {
				for j := range n {
					if seen[[2]int{i, j}] != 1 {
						t.Fatalf("%+v of %v: picture %d of %d stands %d times", s, counts, j, i, seen[[2]int{i, j}])
					}
				}
			}
		}
	}
}

func TestPDFRefusals(t *testing.T) {
	good := drawn(t, 48, 32, 1, false)
	p := &Page{Title: "x", Scenes: []Scene{{Pictures: []Picture{{Number: "1", Small: File{"a.jpg", 48, 32}}}}}}
	broken := errors.New("disk is on fire")
	give := func(b []byte) func(string) ([]byte, error) {
		return func(string) ([]byte, error) { return b, nil }
	}
	for want, try := range map[string]struct {
		s    Sheet
		read func(string) ([]byte, error)
	}{
		"proofs: picture 1: disk is on fire":                                      {Sheet{}, func(string) ([]byte, error) { return nil, broken }},
		"proofs: picture 1 is said to have 48x32 pixels and has 32x48":            {Sheet{}, give(drawn(t, 32, 48, 1, false))},
		"proofs: picture 1: a.jpg: jpeg: invalid format":                          {Sheet{}, give([]byte("<html>"))},
		"proofs: picture 1 is a file of more than 64 MiB":                         {Sheet{}, give(make([]byte, maxJPEG+1))},
		"proofs: a contact sheet has 13 columns and 5 rows (1 to 12 and 1 to 16)": {Sheet{Columns: 13}, give(good)},
		"proofs: a contact sheet has 4 columns and -1 rows (1 to 12 and 1 to 16)": {Sheet{Rows: -1}, give(good)},
		"proofs: the profile of contact sheets is no ICC profile of RGB":          {Sheet{Profile: make([]byte, 200)}, give(good)},
		"proofs: a contact sheet is on unknown paper":                             {Sheet{Paper: 2}, give(good)},
	} {
		_, err := p.PDF(io.Discard, try.s, try.read)
		if err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%v, not %q", err, want)
		}
	}
	if _, err := p.PDF(io.Discard, Sheet{}, func(string) ([]byte, error) { return nil, broken }); !errors.Is(err, broken) {
		t.Error(err)
	}
	if _, err := p.PDF(failing{}, Sheet{}, give(good)); !errors.Is(err, io.ErrClosedPipe) {
		t.Error(err)
	}
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, io.ErrClosedPipe }

func FuzzPDF(f *testing.F) {
	f.Add("Title", "Scene", "0412", 4, 5, drawn(f, 48, 32, 1, false))
	f.Add(nasty, "Церковь", "łž\u0301漢", 1, 16, drawn(f, 48, 32, 1, true))
	f.Fuzz(func(t *testing.T, title, scene, number string, columns, rows int, b []byte) {
		p := &Page{Title: title, Studio: scene, Scenes: []Scene{{scene, []Picture{{Number: number, Small: File{"a.jpg", 48, 32}}}}}}
		var out bytes.Buffer
		if _, err := p.PDF(&out, Sheet{Columns: columns, Rows: rows}, func(string) ([]byte, error) { return b, nil }); err != nil {
			return
		}
		// Outside of the picture there is text in ASCII alone, and as many ends as beginnings.
		rest := bytes.Replace(out.Bytes(), b, nil, 1)[16:]
		for _, c := range rest {
			if c != '\n' && (c < 32 || c > 126) {
				t.Fatalf("byte %#x", c)
			}
		}
		if bytes.Count(rest, []byte("\nendobj\n")) != bytes.Count(rest, []byte(" 0 obj\n")) || bytes.Count(rest, []byte("BT /F")) != bytes.Count(rest, []byte(" Tj ET\n")) {
			t.Error("objects or texts that do not end")
		}
	})
}
