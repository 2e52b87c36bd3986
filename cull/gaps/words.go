package gaps

import (
	"fmt"
	"strconv"
	"time"
)

// Text is the alarm as a sentence, without a final period.
func (a Alarm) Text() string {
	span := a.span()
	if a.Kind == Silence {
		return fmt.Sprintf("body %s: no frame %s, while the others took %s: is there another card?", a.Body, span, grouped(a.Missing))
	}
	if a.Missing == 1 {
		return fmt.Sprintf("body %s: a number is missing, %s, %s: is there another card?", a.Body, a.From, span)
	}
	return fmt.Sprintf("body %s: %s numbers are missing, %s to %s, %s: is there another card?", a.Body, grouped(a.Missing), a.From, a.To, span)
}

func (a Alarm) span() string {
	form := "15:04"
	if a.Dated || !a.After.IsZero() && !a.Before.IsZero() && day(a.After) != day(a.Before) {
		form = "2006-01-02 15:04"
	}
	show := func(t time.Time) string { return t.Format(form) }
	switch {
	case a.After.IsZero():
		return "before " + show(a.Before)
	case a.Before.IsZero():
		return "after " + show(a.After)
	case day(a.After) == day(a.Before) && sameDate(a.After, a.Before):
		return "between " + show(a.After) + " and " + a.Before.Format("15:04")
	}
	return "between " + show(a.After) + " and " + show(a.Before)
}

func sameDate(a, b time.Time) bool { return a.Format(time.DateOnly) == b.Format(time.DateOnly) }

// grouped writes a number with a comma before its thousands.
func grouped(n int) string {
	if n < 1000 {
		return strconv.Itoa(n)
	}
	return fmt.Sprintf("%s,%03d", grouped(n/1000), n%1000)
}
