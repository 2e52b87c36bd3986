package term

import "time"

// forget is the age at which an answer to a fence is not waited for any more.
const forget = 10 * time.Second

// flight is a picture whose fence has not been answered.
type flight struct {
	Landing
	late bool
}

// flights are the outstanding ones, oldest first. At most the last is not late.
type flights []flight

// open reports whether the queue is held up.
func (f flights) open() bool { return len(f) > 0 && !f[len(f)-1].late }

// answered takes the flight that an answer belongs to. Answers come in the
// order of the questions, so it is the oldest one; a numbered answer names its
// own, and those before it were lost on the way.
func (f *flights) answered(a ack) (Landing, bool) {
	for i, fl := range *f {
		if a.numbered && uint16(fl.ID) != a.number {
			continue
		}
		*f = (*f)[i+1:]
		fl.State, fl.Acked = Drawn, a.at
		if a.err != nil {
			fl.State, fl.Err = Failed, a.err
		}
		return fl.Landing, true
	}
	return Landing{}, false
}

// expire marks the flight that has waited for limit as late, and forgets old
// ones.
func (f *flights) expire(now time.Time, limit time.Duration) (Landing, bool) {
	for len(*f) > 0 && (*f)[0].late && now.Sub((*f)[0].Written) >= forget {
		*f = (*f)[1:]
	}
	if !f.open() {
		return Landing{}, false
	}
	last := &(*f)[len(*f)-1]
	if now.Sub(last.Written) < limit {
		return Landing{}, false
	}
	last.late = true
	l := last.Landing
	l.State = Late
	return l, true
}

// ack is an answer to a fence.
type ack struct {
	at       time.Time
	number   uint16
	numbered bool
	err      error // what came before it said that the picture failed
}
