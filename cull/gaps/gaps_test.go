package gaps

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

var noon = time.Date(2026, 6, 13, 12, 0, 0, 0, time.UTC)

// row is n frames of a body, one each step, from a number on.
func row(body, prefix string, number, n int, from time.Time, step time.Duration) []Shot {
	var out []Shot
	for i := range n {
		out = append(out, Shot{body, fmt.Sprintf("%s%04d", prefix, (number-1+i)%9999+1), from.Add(time.Duration(i) * step)})
	}
	return out
}

func texts(alarms []Alarm) string {
	var out []string
	for _, a := range alarms {
		out = append(out, a.Text())
	}
	return strings.Join(out, "\n")
}

func TestFind(t *testing.T) {
	hours := func(n float64) time.Time { return noon.Add(time.Duration(n * float64(time.Hour))) }
	for _, c := range []struct {
		name  string
		shots []Shot
		want  string
	}{
		{"nothing", nil, ""},
		{"a card is missing", slices.Concat(row("A", "IMG_", 400, 51, hours(2), time.Second), row("A", "IMG_", 603, 9, hours(3), time.Second)),
			"body A: 152 numbers are missing, IMG_0451 to IMG_0602, between 14:00 and 15:00: is there another card?"},
		{"and its films are here", slices.Concat(row("A", "IMG_", 400, 51, hours(2), time.Second), row("A", "IMG_", 603, 9, hours(3), time.Second),
			row("A", "MVI_", 451, 150, time.Time{}, 0)), ""},
		{"nine were deleted", slices.Concat(row("A", "IMG_", 1, 5, noon, time.Second), row("A", "IMG_", 15, 5, hours(1), time.Second)), ""},
		{"ten are missing", slices.Concat(row("A", "IMG_", 1, 5, noon, time.Second), row("A", "IMG_", 16, 5, hours(1), time.Second)),
			"body A: 10 numbers are missing, IMG_0006 to IMG_0015, between 12:00 and 13:00: is there another card?"},
		{"over the end of the counter", slices.Concat(row("A", "DSC_", 9900, 60, noon, time.Second), row("A", "DSC_", 21, 5, hours(1), time.Second)),
			"body A: 60 numbers are missing, DSC_9960 to DSC_0020, between 12:00 and 13:00: is there another card?"},
		{"another colour space", slices.Concat(row("A", "DSC_", 1, 40, noon, time.Second), row("A", "_DSC", 61, 5, hours(1), time.Second)),
			"body A: 20 numbers are missing, DSC_0041 to _DSC0060, between 12:00 and 13:00: is there another card?"},
		{"set back", slices.Concat(row("A", "IMG_", 6000, 40, noon, time.Second), row("A", "IMG_", 1, 40, hours(1), time.Second)), ""},
		{"set back from the last number", slices.Concat(row("A", "IMG_", 9960, 40, noon, time.Second), row("A", "IMG_", 3000, 4, hours(1), time.Second)), ""},
		{"last week", slices.Concat(row("A", "IMG_", 100, 40, noon.AddDate(0, 0, -7), time.Second), row("A", "IMG_", 900, 40, noon, time.Second)), ""},
		{"two bodies without a serial number", slices.Concat(row("A", "IMG_", 100, 400, noon, 3*time.Second), row("A", "IMG_", 4100, 400, noon.Add(time.Second), 3*time.Second)), ""},
		{"no body, no number, no time", []Shot{{"", "IMG_0001", noon}, {"", "IMG_0100", noon}, {"A", "Anna 001", noon}, {"A", "Anna-0001-b", noon}, {"A", "IMG_0001", time.Time{}}, {"A", "IMG_0100", time.Time{}}}, ""},
		{"numbers from 0000", slices.Concat(row("A", "DSC0", 9990, 10, noon, time.Second), []Shot{{"A", "DSC10000", hours(0.5)}}, row("A", "DSC1", 1, 5, hours(1), time.Second)), ""},
		{"on two days", slices.Concat(row("A", "IMG_", 1, 5, noon, time.Second), row("A", "IMG_", 36, 5, hours(1), time.Second), row("B", "IMG_", 1, 1, hours(30), 1)),
			"body A: 30 numbers are missing, IMG_0006 to IMG_0035, between 2026-06-13 12:00 and 13:00: is there another card?"},
		{"past midnight", slices.Concat(row("A", "IMG_", 1, 5, hours(11), time.Second), row("A", "IMG_", 36, 5, hours(13), time.Second)),
			"body A: 30 numbers are missing, IMG_0006 to IMG_0035, between 23:00 and 01:00: is there another card?"},
		{"silent in between", slices.Concat(row("A", "IMG_", 1, 1500, noon, 10*time.Second), row("B", "IMG_", 1, 5, noon, time.Second), row("B", "IMG_", 6, 5, hours(4), time.Second)),
			"body B: no frame between 12:00 and 16:00, while the others took 1,439: is there another card?"},
		{"silent before and after", slices.Concat(row("A", "IMG_", 1, 4000, noon, 10*time.Second), row("B", "IMG_", 1, 5, hours(5), time.Second)),
			"body B: no frame before 17:00, while the others took 1,800: is there another card?\nbody B: no frame after 17:00, while the others took 2,199: is there another card?"},
		{"not there the whole day", slices.Concat(row("A", "IMG_", 1, 4000, noon, 10*time.Second), row("B", "IMG_", 1, 5, hours(48), time.Second)), ""},
		{"alone", row("A", "IMG_", 1, 4000, noon, 10*time.Second), ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := texts(Find(c.shots, Options{})); got != c.want {
				t.Errorf("%s\nwant\n%s", got, c.want)
			}
		})
	}
}

// A body's frames in any order, its counter running over the end, its four
// characters changing, many in one second: whole, they raise no alarm; without a
// block of numbers, exactly that block is missed, and by name.
func TestABlockIsMissed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		first, n := rapid.IntRange(1, 9999).Draw(t, "first"), rapid.IntRange(20, 1500).Draw(t, "frames")
		at := noon
		shots := row("A", "IMG_", first, n, noon, 0)
		seed := rapid.Uint64().Draw(t, "seed")
		rnd := rand.New(rand.NewPCG(seed, 1))
		for i := range shots {
			if rnd.IntN(4) == 0 { // bursts within one second, never two hundred
				at = at.Add(time.Duration(1+rnd.IntN(40)) * time.Second)
			}
			shots[i].At = at
			if rnd.IntN(500) == 0 {
				for k := i; k < n; k++ {
					shots[k].Stem = "_MG_" + shots[k].Stem[4:]
				}
			}
		}
		mixed := func(list []Shot) []Shot {
			list = slices.Clone(list)
			rnd.Shuffle(len(list), func(i, k int) { list[i], list[k] = list[k], list[i] })
			return list
		}
		if got := Find(mixed(shots), Options{}); len(got) != 0 || len(Small(shots, Options{})) != 0 {
			t.Fatalf("whole: %s", texts(got))
		}
		size := rapid.IntRange(1, min(n-2, 900)).Draw(t, "missing")
		from := rapid.IntRange(1, n-1-size).Draw(t, "from")
		left := slices.Concat(shots[:from], shots[from+size:])
		got, few := Find(mixed(left), Options{}), Small(mixed(left), Options{})
		if size < 10 {
			if len(got) != 0 || few["A"] != size {
				t.Fatalf("%d of %d: %v, %s", size, n, few, texts(got))
			}
			return
		}
		// The name may have the four characters of either side.
		if len(got) != 1 || got[0].Missing != size || got[0].From[4:] != shots[from].Stem[4:] || got[0].To[4:] != shots[from+size-1].Stem[4:] || few["A"] != 0 {
			t.Fatalf("%d of %d: %v, %s\nwant %s to %s", size, n, few, texts(got), shots[from].Stem, shots[from+size-1].Stem)
		}
		if got[0].After.After(shots[from].At) || got[0].Before.Before(shots[from+size-1].At) {
			t.Fatalf("%s, but they were taken from %v to %v", got[0].Text(), shots[from].At, shots[from+size-1].At)
		}
	})
}

// Whatever the shots, alarms are what they say: none of the numbers named is there
// with a time in between, and none is below what is worth an alarm.
func TestAlarmsAreTrue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		shots := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Shot {
			s := Shot{Body: rapid.SampledFrom([]string{"A", "B", ""}).Draw(t, "body"), Stem: fmt.Sprintf("IMG_%04d", rapid.IntRange(0, 9999).Draw(t, "number"))}
			if rapid.IntRange(0, 9).Draw(t, "timed") > 0 {
				s.At = noon.Add(time.Duration(rapid.IntRange(0, 200000).Draw(t, "second")) * time.Second)
			}
			return s
		}), 0, 60).Draw(t, "shots")
		o := Options{Least: rapid.IntRange(1, 2000).Draw(t, "least"), Silent: rapid.IntRange(1, 30).Draw(t, "silent")}
		for _, a := range Find(shots, o) {
			n := 0
			for _, s := range shots {
				inside := (a.After.IsZero() || s.At.After(a.After)) && (a.Before.IsZero() || s.At.Before(a.Before)) && !s.At.IsZero()
				switch {
				case a.Kind == Numbers && s.Body == a.Body && inside && (s.Stem == a.From || s.Stem == a.To):
					t.Fatalf("%s is there: %s", s.Stem, a.Text())
				case a.Kind == Silence && s.Body == a.Body && inside && (a.After.IsZero() || a.Before.IsZero() || s.At.Before(a.Before)):
					if !a.After.IsZero() && !a.Before.IsZero() || day(s.At).Equal(day(moment(a))) {
						t.Fatalf("a frame at %v: %s", s.At, a.Text())
					}
				case a.Kind == Silence && inside && s.Body != "":
					n++
				}
			}
			if a.Kind == Numbers && a.Missing < o.Least || a.Kind == Silence && (a.Missing < o.Silent || n < a.Missing) {
				t.Fatalf("%d: %s", n, a.Text())
			}
		}
	})
}

func BenchmarkFind8000(b *testing.B) {
	shots := slices.Concat(row("A", "IMG_", 1, 4000, noon, 10*time.Second), row("B", "IMG_", 5000, 2000, noon, 20*time.Second), row("B", "IMG_", 8000, 2000, noon.Add(12*time.Hour), 20*time.Second))
	for b.Loop() {
		Find(shots, Options{})
	}
}
