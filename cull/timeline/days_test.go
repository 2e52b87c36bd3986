package timeline

import (
	"math"
	"math/rand/v2"
	"time"

	"garner/cull"
)

var morning = time.Date(2026, 6, 13, 9, 0, 0, 0, time.UTC)

// wedding invents a day of about n frames.
func wedding(n int) Day {
	r := rand.New(rand.NewPCG(1, 2))
	d := Day{Name: "Job 0613", Bodies: []string{"A", "B", "C"}}
	for i, s := range []struct {
		name     string
		from, to float64 // hours
		ev       float64
		flash    float64
	}{
		{"Getting ready", 0, 1.6, 7, 0}, {"The dress", 1.65, 2.1, 8, 0.1}, {"First look", 2.6, 3.0, 13, 0}, {"Church", 3.6, 4.7, 5, 0},
		{"Leaving the church", 4.75, 5.1, 14, 0}, {"Groups", 5.3, 6.1, 13.5, 0}, {"Couple", 6.3, 7.2, 12, 0}, {"Arrival", 7.4, 7.8, 9, 0.2},
		{"Speeches", 8, 9.2, 6, 0.6}, {"Dinner", 9.4, 10.5, 5, 0.7}, {"First dance", 11, 11.3, 3, 1}, {"Party", 11.4, 14, 3, 0.95},
	} {
		d.Scenes = append(d.Scenes, s.name)
		for range int((s.to - s.from) / 12 * float64(n) * (0.6 + 0.8*r.Float64())) {
			at := s.from + (s.to-s.from)*r.Float64()
			f := Frame{At: morning.Add(time.Duration(at * float64(time.Hour))), Scene: i, Body: r.IntN(5) / 2, HasEV: true,
				EV100: s.ev + r.NormFloat64()*0.5 - (at-s.from)*0.6, Flash: r.Float64() < s.flash}
			switch x := r.Float64(); {
			case i > 8:
			case x < 0.15:
				f.Answer = cull.Yes
			case x < 0.8:
				f.Answer = cull.No
			}
			d.Frames = append(d.Frames, f)
		}
	}
	return d
}

// short is a few short scenes with hours between them.
func short() Day {
	d := Day{Name: "short", Bodies: []string{"A", "B"}}
	for i := range 5 {
		d.Scenes = append(d.Scenes, cull.SceneNumber(i))
		for k := range 40 {
			d.Frames = append(d.Frames, Frame{At: morning.Add(time.Duration(i)*2*time.Hour + time.Duration(k*k/3)*time.Second), Scene: i, Body: k % 2,
				Answer: cull.Answer(k % 3), EV100: float64(4 + i), HasEV: k%4 > 0, Flash: i == 4})
		}
	}
	return d
}

// twoDays is a wedding and the morning after.
func twoDays() Day {
	d := wedding(1500)
	for i := range 120 {
		d.Frames = append(d.Frames, Frame{At: morning.Add(25*time.Hour + time.Duration(i)*time.Minute), Scene: len(d.Scenes), Body: 1, EV100: 11, HasEV: true})
	}
	d.Scenes = append(d.Scenes, "Brunch")
	return d
}

// hostile has what no day should have.
func hostile() Day {
	bad := "\x1b[31m<script>\u202e&\"'\x00\xff é 漢字"
	d := Day{Name: bad, Scenes: []string{bad, bad + bad + bad}, Bodies: []string{bad, ""}}
	for i := range 50 {
		d.Frames = append(d.Frames, Frame{At: morning.Add(time.Duration(i) * 7 * time.Minute), Scene: i%5 - 1, Body: i%5 - 2, EV100: 1e300 * float64(i%3-1), HasEV: true, Answer: cull.Answer(i % 7)},
			Frame{At: time.Date(1+i*150, 1, 1, 0, 0, 0, 0, time.UTC), EV100: math.NaN(), HasEV: true})
	}
	return d
}
