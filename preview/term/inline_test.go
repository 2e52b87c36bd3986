package term

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"garner/preview/jpeg"
)

// grey is a picture of one shade.
func grey(w, h int, v byte) *jpeg.Image {
	m := &jpeg.Image{}
	m.Reset(w, h, 1, 1, true)
	for i := range m.Y {
		m.Y[i] = v
	}
	return m
}

func TestInlineBytes(t *testing.T) {
	p := NewPainter(Caps{Inline: true, CellWidth: 10, CellHeight: 20}, Inline, PainterOptions{})
	// The terminal scales: 30 by 40 pixels become 60 by 80, in six by four cells.
	got := string(p.Mosaic([]Piece{{Picture: grey(30, 40, 9), JPEG: []byte("a file"), Area: Area{1, 1, 20, 4}}}, Area{0, 0, 30, 10}))
	const want = "\x1b7\x1b[?7l\x1b[m" +
		"\x1b[2;2H\x1b[7X\x1b[2;15H\x1b[7X\x1b[3;2H\x1b[7X\x1b[3;15H\x1b[7X\x1b[4;2H\x1b[7X\x1b[4;15H\x1b[7X\x1b[5;2H\x1b[7X\x1b[5;15H\x1b[7X" +
		"\x1b[2;9H\x1b]1337;File=inline=1;size=6;width=6;height=auto;preserveAspectRatio=1;doNotMoveCursor=1:YSBmaWxl\a" +
		"\x1b[m\x1b[?7h\x1b8"
	if got != want {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	got = string(p.Mosaic([]Piece{{Picture: grey(31, 100, 9), JPEG: []byte("a file"), Area: Area{0, 0, 20, 4}}}, Area{0, 0, 30, 10}))
	if !strings.Contains(got, ";width=auto;height=4;") {
		t.Errorf("%q", got)
	}
	got = string(p.Mosaic([]Piece{{Picture: grey(30, 10, 9), JPEG: []byte("a file"), Area: Area{0, 0, 20, 8}}}, Area{0, 0, 30, 10}))
	if !strings.Contains(got, ";width=20;height=auto;") {
		t.Errorf("%q", got)
	}
}

// A file's own bytes go through where they show what is to be seen and are not
// too many; else there is one of the size that is needed.
func TestInlineFiles(t *testing.T) {
	m := testPicture(600, 400)
	var file bytes.Buffer
	if err := jpeg.Encode(&file, m, 95); err != nil {
		t.Fatal(err)
	}
	large := append(file.Bytes()[:file.Len():file.Len()], make([]byte, maxFile)...)
	for _, tt := range []struct {
		name string
		jpeg []byte
		look Look
		own  bool
	}{
		{"as it is", file.Bytes(), Look{}, false},
		{"none", nil, Look{}, true},
		{"dim", file.Bytes(), Look{Dim: true}, true},
		{"too many bytes", large, Look{}, true},
		{"just few enough", large[:300*200], Look{}, false},
		{"one too many", large[:300*200+1], Look{}, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := newDesk(t, paintCase{mode: Inline, caps: Caps{Inline: true, CellWidth: 10, CellHeight: 20}, cw: 10, ch: 20})
			d.mosaic([]Piece{{Picture: m, JPEG: tt.jpeg, Area: Area{1, 1, 30, 28}, Look: tt.look}})
			if own := !bytes.Equal(d.v.lastFile, tt.jpeg); own != tt.own {
				t.Errorf("the file is made here: %v", own)
			}
			info, err := jpeg.Config(bytes.NewReader(d.v.lastFile), 0, int64(len(d.v.lastFile)))
			if err != nil {
				t.Fatal(err)
			}
			if want := 300; tt.own && info.Width != want {
				t.Errorf("%d pixels wide, want %d", info.Width, want)
			}
		})
	}
}

// tmux lets nothing like that through.
func TestInlineInTmux(t *testing.T) {
	p := NewPainter(Caps{Tmux: true, TrueColor: true}, Inline, PainterOptions{})
	if out := string(p.Paint(testPicture(30, 20), Area{0, 0, 10, 5}, Look{})); strings.Contains(out, "1337") || !strings.Contains(out, "▀") {
		t.Errorf("%.60q", out)
	}
}

// The dim twin has the line where the pixels have it, and half the light.
func TestDimmedPlanes(t *testing.T) {
	for _, m := range []*jpeg.Image{testPicture(61, 47), grey(300, 200, 200), photoLike(400, 260)} {
		t.Run(fmt.Sprintf("%dx%d", m.Width, m.Height), func(t *testing.T) {
			l := layout{pw: m.Width, ph: m.Height, w: m.Width, h: m.Height}
			var e, f easel
			want := bytes.Clone(e.rgba(m, l, Look{Dim: true}))
			got := f.rgba(dimmed(&jpeg.Image{}, m), l, Look{})
			far := 0
			for i := range want {
				if d := int(got[i]) - int(want[i]); d < -3 || d > 3 {
					far++
				}
			}
			// Chroma has fewer samples than the line has pixels.
			if far > len(want)/20 {
				t.Errorf("%d of %d channels differ", far, len(want))
			}
		})
	}
}
