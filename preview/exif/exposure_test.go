package exif_test

import (
	"encoding/binary"
	"math"
	"testing"

	"garner/preview/exif"
	"garner/preview/internal/craft"
)

// The additive system of Exif Annex C: EV = log2(N²/t), and at ISO 100 less
// log2(S/100). What is read from a file must give these numbers to whoever adds
// them up.
func TestExposureRowsGiveTheirEV(t *testing.T) {
	for _, c := range []struct {
		name     string
		n10      uint32 // ten times the f-number
		t, d     uint32 // exposure time t/d
		iso      uint16
		ev, at00 float64
		within   float64
	}{
		{"f/1, 1 s: EV 0 by definition", 10, 1, 1, 100, 0, 0, 1e-9},
		{"f/16, 1/125", 160, 1, 125, 100, 14.966, 14.966, 1e-3},
		{"f/16, 1/100: sunny 16", 160, 1, 100, 100, 14.64, 14.64, 0.01},
		{"f/8, 1/125", 80, 1, 125, 100, 12.97, 12.97, 0.01},
		{"f/5.6, 1/250: the same light", 56, 1, 250, 100, 12.94, 12.94, 0.01},
		{"f/4, 1/500: the same light", 40, 1, 500, 100, 12.97, 12.97, 0.01},
		{"f/2.8, 1/200, ISO 3200", 28, 1, 200, 3200, 10.61, 5.61, 0.01},
		{"f/1.4, 1/60, ISO 6400", 14, 1, 60, 6400, 6.88, 0.88, 0.01},
		{"ten over what is ten times as much", 28, 10, 2000, 3200, 10.61, 5.61, 0.01},
		{"30 s", 80, 30, 1, 100, 1.09, 1.09, 0.01},
	} {
		m := meta(t, binary.LittleEndian, nil, func(b *craft.TIFF) []craft.Field {
			return []craft.Field{b.Rational(0x829A, c.t, c.d), b.Rational(0x829D, c.n10, 10), b.Short(0x8827, c.iso)}
		})
		ev := math.Log2(m.FNumber * m.FNumber / m.Seconds)
		at100 := ev - math.Log2(float64(m.ISO)/100)
		if math.Abs(ev-c.ev) > c.within || math.Abs(at100-c.at00) > c.within {
			t.Errorf("%s: EV %.4f, %.4f at ISO 100; want %v, %v", c.name, ev, at100, c.ev, c.at00)
		}
	}
}

// Exif 0x9204 is a signed fraction; thirds and halves are what bodies offer.
func TestBias(t *testing.T) {
	for _, c := range []struct {
		num, den int32
		want     float64
		known    bool
	}{
		{0, 1, 0, true}, {0, 3, 0, true}, {1, 3, 1.0 / 3, true}, {-1, 3, -1.0 / 3, true}, {-4, 6, -2.0 / 3, true},
		{1, -3, -1.0 / 3, true}, {5, 1, 5, true}, {-3, 2, -1.5, true}, {1, 0, 0, false}, {0, 0, 0, false},
		{math.MinInt32, 1, 0, false}, {math.MaxInt32, 1, 0, false},
	} {
		m := meta(t, binary.BigEndian, nil, func(b *craft.TIFF) []craft.Field { return []craft.Field{b.SRational(0x9204, c.num, c.den)} })
		if (m.Bias != nil) != c.known || c.known && math.Abs(*m.Bias-c.want) > 1e-12 {
			t.Errorf("%d/%d: %v, want %v (%v)", c.num, c.den, m.Bias, c.want, c.known)
		}
	}
}

// The shutter speeds printed on dials, as bodies write them.
func TestSeconds(t *testing.T) {
	for _, c := range []struct {
		num, den uint32
		want     float64
	}{
		{1, 8000, 0.000125}, {10, 80000, 0.000125}, {1, 60, 1.0 / 60}, {13, 10, 1.3}, {30, 1, 30}, {600, 1, 600}, {0, 1, 0}, {1, 0, 0}, {0, 0, 0},
		{0xFFFFFFFF, 1, 0},
	} {
		m := meta(t, binary.LittleEndian, nil, func(b *craft.TIFF) []craft.Field { return []craft.Field{b.Rational(0x829A, c.num, c.den)} })
		if math.Abs(m.Seconds-c.want) > 1e-12 {
			t.Errorf("%d/%d: %v, want %v", c.num, c.den, m.Seconds, c.want)
		}
	}
	if m := exif.NewMeta(); m.ExposureMode != -1 {
		t.Errorf("exposure mode of an unread file: %d", m.ExposureMode)
	}
}
