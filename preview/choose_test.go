package preview

import (
	"fmt"
	"testing"

	"garner/preview/raw"
)

func whole(w, h int) raw.Preview {
	return raw.Preview{Offset: int64(w), Length: 1000, Width: w, Height: h, Whole: true, Components: 3, Precision: 8}
}

func cutOff(w, h int) raw.Preview {
	p := whole(w, h)
	p.Whole = false
	return p
}

func twelveBit(w, h int) raw.Preview {
	p := whole(w, h)
	p.Precision = 12
	return p
}

func TestBest(t *testing.T) {
	nef := []raw.Preview{whole(6000, 4000), whole(1620, 1080), whole(570, 375)}
	upright := []raw.Preview{whole(4000, 6000), whole(1080, 1620)}
	for _, c := range []struct {
		name     string
		previews []raw.Preview
		longEdge int
		want     int // width
	}{
		{"smallest that is enough", nef, 320, 570},
		{"exactly enough", nef, 570, 570},
		{"one more", nef, 571, 1620},
		{"screen", nef, 1600, 1620},
		{"large", nef, 1621, 6000},
		{"none is enough", nef, 9000, 6000},
		{"the largest", nef, 0, 6000},
		{"upright ones by their long edge", upright, 1620, 1080},
		{"cut-off one is left out", []raw.Preview{cutOff(6000, 4000), whole(570, 375)}, 1600, 570},
		{"only cut-off ones", []raw.Preview{cutOff(160, 120), cutOff(6000, 4000)}, 320, 6000},
		{"12 bits cannot be decoded", []raw.Preview{twelveBit(6000, 4000), whole(160, 120)}, 0, 160},
		{"size not known", []raw.Preview{{Offset: 1, Length: 5, Whole: true}, whole(160, 120)}, 320, 160},
	} {
		got, ok := Best(c.previews, c.longEdge)
		if !ok || got.Width != c.want {
			t.Errorf("%s: %dx%d, %v, want width %d", c.name, got.Width, got.Height, ok, c.want)
		}
	}
	for _, none := range [][]raw.Preview{nil, {twelveBit(100, 100)}, {{Width: 5, Height: 5, Whole: true}}} {
		if got, ok := Best(none, 100); ok {
			t.Errorf("%+v out of nothing", got)
		}
	}
}

func TestOrderOfTrying(t *testing.T) {
	got := ""
	for _, p := range inOrder([]raw.Preview{whole(6000, 4000), cutOff(8000, 6000), whole(570, 375), whole(1620, 1080), whole(160, 120), cutOff(900, 600)}, 500) {
		got += fmt.Sprint(p.Width, " ")
	}
	if want := "570 1620 6000 160 8000 900 "; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

func TestNeedsRendition(t *testing.T) {
	for _, c := range []struct {
		previews []raw.Preview
		want     bool
	}{
		{[]raw.Preview{whole(6000, 4000), whole(160, 120)}, false},
		{[]raw.Preview{whole(1500, 1000)}, false}, // just 1.5 MP
		{[]raw.Preview{whole(1440, 960)}, true},
		{[]raw.Preview{cutOff(6000, 4000), whole(1440, 960)}, true},
		{[]raw.Preview{twelveBit(6000, 4000)}, true},
		{nil, true},
	} {
		if got := NeedsRendition(c.previews); got != c.want {
			t.Errorf("%+v: %v", c.previews, got)
		}
	}
}

func TestScaleFor(t *testing.T) {
	for _, c := range [][4]int{{6000, 4000, 256, 8}, {6000, 4000, 750, 8}, {6000, 4000, 751, 4}, {6000, 4000, 1500, 4},
		{6000, 4000, 3000, 2}, {6000, 4000, 3001, 1}, {4000, 6000, 3000, 2}, {570, 375, 256, 2}, {100, 100, 0, 1}, {0, 0, 256, 1}} {
		if got := scaleFor(c[0], c[1], c[2]); got != c[3] {
			t.Errorf("%dx%d to %d: 1/%d, want 1/%d", c[0], c[1], c[2], got, c[3])
		}
	}
}
