package recall

import (
	"fmt"
	"strings"
	"time"

	"garner/cull"
	"garner/cull/recall/like"
)

// Query is what is asked of frames: all of it has to hold. The zero Query is every
// frame.
type Query struct {
	From, To time.Time // local time as corrected, in time.UTC, To itself not; zero = no end
	Clock    *Clock    // of whatever day

	Job   string // part of the job's name, or of its folder's or bag's
	Scene string // part of the scene's name
	Body  string // letter, serial number, or part of the model
	Name  string // part of the frame's name or of one under which it was delivered; digits are a whole number

	Passes []Answered

	Like   *like.Picture // the frames that it may show, nearest first
	Person string        // label or name of a person, in jobs that hold templates

	Most int // hits at most; 0 = all
}

// Answered asks for an answer in a pass; cull.Open is that there is none.
type Answered struct {
	Pass   string
	Answer cull.Answer
}

// ParseAnswered reads PASS=ANSWER.
func ParseAnswered(s string) (Answered, error) {
	pass, word, ok := strings.Cut(s, "=")
	answer, known := cull.ParseAnswer(word)
	if word == "open" {
		answer, known = cull.Open, true
	}
	if !ok || !known || !cull.ValidPassName(pass) {
		return Answered{}, fmt.Errorf("%q is no pass with an answer: retouch=yes is, and keep=no", s)
	}
	return Answered{pass, answer}, nil
}

// Clock is a stretch of the day, from midnight on; one that ends before it begins goes
// over midnight.
type Clock struct{ From, To time.Duration }

func (c *Clock) holds(ms int64) bool {
	const day = int64(24 * time.Hour / time.Millisecond)
	at := ms % day
	if at < 0 {
		at += day
	}
	from, to := c.From.Milliseconds(), c.To.Milliseconds()
	if from <= to {
		return from <= at && at < to
	}
	return at >= from || at < to
}

// moments are the forms in which a time is given, and how long what it names lasts.
var moments = []struct {
	form  string
	lasts time.Duration
}{
	{"2006-01-02", 24 * time.Hour},
	{"2006-01-02T15", time.Hour},
	{"2006-01-02T15:04", time.Minute},
	{"2006-01-02T15:04:05", time.Second},
}

// ParseTime reads a day, or a day with a time. What it names begins at from and ends
// before to.
func ParseTime(s string) (from, to time.Time, err error) {
	text := strings.Replace(strings.TrimSpace(s), " ", "T", 1)
	for _, m := range moments {
		if from, err = time.Parse(m.form, text); err == nil {
			return from, from.Add(m.lasts), nil
		}
	}
	return time.Time{}, time.Time{}, fmt.Errorf("%q is no time: 2026-06-13 is, and 2026-06-13T14:00", s)
}

// ParseClock reads FROM..TO, such as 14:00..15:30, which holds the whole minute 15:30.
func ParseClock(s string) (Clock, error) {
	wrong := fmt.Errorf("%q is no stretch of the day: 14:00..15:30 is, and 23:00..01:30", s)
	first, last, ok := strings.Cut(s, "..")
	if !ok {
		return Clock{}, wrong
	}
	from, _, err := timeOfDay(first)
	if err != nil {
		return Clock{}, wrong
	}
	to, lasts, err := timeOfDay(last)
	if err != nil {
		return Clock{}, wrong
	}
	return Clock{from, to + lasts}, nil
}

func timeOfDay(s string) (at, lasts time.Duration, err error) {
	s = strings.TrimSpace(s)
	if s == "24:00" {
		return 24 * time.Hour, 0, nil
	}
	lasts = time.Minute
	t, err := time.Parse("15:04", s)
	if err != nil {
		lasts = time.Second
		t, err = time.Parse("15:04:05", s)
	}
	if err != nil {
		return 0, 0, err
	}
	return time.Duration(t.Hour())*time.Hour + time.Duration(t.Minute())*time.Minute + time.Duration(t.Second())*time.Second, lasts, nil
}
