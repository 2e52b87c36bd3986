package group

import "testing"

// bracket adds frames a third of a second apart with these biases.
func (s *shoot) bracket(start float64, flagged bool, biases ...float64) {
	for i, v := range biases {
		f := s.add("A", start+float64(i)/3, 1)
		f.Bias, f.AutoBracket = &v, flagged
	}
}

func TestBrackets(t *testing.T) {
	t.Run("said by the camera", func(t *testing.T) {
		var b shoot
		b.bracket(0, true, 0, -2, 2)
		b.bracket(1, true, 0, -0.3, 0.3) // right after it
		b.bracket(30, true, -0.7, -0.3, 0, 0.3, 0.7)
		wantGroups(t, b, "1s 2s 3s | 4s 5s 6s | 7s 8s 9s 10s 11s")
	})
	t.Run("said by the bias alone", func(t *testing.T) {
		var b shoot
		b.bracket(0, false, 0, -1, 1)
		b.bracket(30, false, 0, -0.3, 0.3) // somebody turning the dial
		b.bracket(60, false, 0, -1)        // two are no bracket
		b.bracket(90, false, 0, -1, 1.7)   // uneven
		wantGroups(t, b, "1s 2s 3s | 4 5 6 | 7 8 | 9 10 11")
	})
	t.Run("said by the camera of one frame only", func(t *testing.T) {
		var b shoot
		b.bracket(0, false, 0, -1, 1)
		b.frames[2].AutoBracket = true
		wantGroups(t, b, "1 2 3")
	})
	t.Run("inside a burst", func(t *testing.T) {
		var b shoot
		b.bracket(0, false, 0, 0)
		b.bracket(.7, true, 0, -1, 1)
		b.bracket(1.8, false, 0, 0)
		wantGroups(t, b, "1 2 | 3s 4s 5s | 6 7")
	})
	t.Run("by hand, told by the exposure", func(t *testing.T) {
		var b shoot
		b.bracket(0, true, 0, 0, 0)
		for i, ev := range []float64{10, 8, 12} {
			b.frames[i].EV100, b.frames[i].HasEV = ev, true
		}
		wantGroups(t, b, "1s 2s 3s")
	})
	t.Run("long exposures take their time", func(t *testing.T) {
		var b shoot
		for i, v := range []float64{-2, 0, 2} {
			f := b.add("A", []float64{0, 3, 10}[i], 1)
			f.Bias, f.AutoBracket, f.Seconds = &v, true, []float64{2, 6, 20}[i]
		}
		wantGroups(t, b, "1s 2s 3s")
		b.frames[1].Seconds = 1
		wantGroups(t, b, "1s 2s | 3")
	})
	t.Run("the flag with equal exposures is no bracket", func(t *testing.T) {
		var b shoot
		b.bracket(0, true, 0, 0, 0)
		wantGroups(t, b, "1 2 3")
	})
}
