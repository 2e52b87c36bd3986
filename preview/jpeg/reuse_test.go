package jpeg

import (
	"testing"
)

// A Decoder that is kept, with an Image that is reused, leaves nothing for the
// collector.
func TestReusedDecoderAllocatesNothing(t *testing.T) {
	for name, src := range map[string][]byte{
		"4:2:0":    coded(t, scene(640, 480), 85),
		"restarts": corpus(t, "video-001.restart2.jpeg"),
		"grey":     corpus(t, "video-005.gray.jpeg"),
	} {
		index, err := MakeIndex(src, nil)
		if err != nil {
			t.Fatal(err)
		}
		d, into := NewDecoder(), &Image{}
		for _, o := range []Options{{}, {Scale: 2}, {Scale: 4}, {Scale: 8}, {Index: index}, {Luma: true}} {
			o.Into = into
			decode := func() {
				if _, err := d.Decode(src, o); err != nil {
					t.Fatal(err)
				}
			}
			decode()
			if o.Luma {
				continue // it lets go of the chroma planes
			}
			if n := testing.AllocsPerRun(20, decode); n > 2 {
				t.Errorf("%s at 1/%d: %v allocations", name, max(1, o.Scale), n)
			}
		}
	}
}

// What one decode leaves behind must not show in the next: damaged ones, other
// sizes, scales, samplings and parts in turn.
func TestReusedDecoderIsLikeANewOne(t *testing.T) {
	var sources [][]byte
	for _, name := range codings {
		src := corpus(t, name)
		sources = append(sources, src, src[:len(src)*2/3])
		for i := range 2 {
			b := append([]byte(nil), src...)
			b[len(b)/2+7*i] ^= 0x55
			sources = append(sources, b)
		}
	}
	d, into := NewDecoder(), &Image{}
	for n := range 600 {
		src := sources[n*31%len(sources)]
		o := Options{Scale: 1 << (n % 4), Luma: n%5 == 0, Workers: n % 3}
		want, werr := Decode(src, o)
		o.Into = into
		got, err := d.Decode(src, o)
		if (err == nil) != (werr == nil) {
			t.Fatalf("%d: %v, a new one: %v", n, err, werr)
		}
		if err == nil {
			samePart(t, got, want)
		}
	}
}
