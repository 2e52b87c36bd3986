package term

import "time"

// forget is the age at which an answer to a fence is not waited for any more, by a
// terminal that has not shown that it answers the other question either.
const forget = time.Minute

// otherQuestion is asked when an unnumbered fence is late (DA2). Its answer proves
// that every fence before it was answered or lost: answers come in order.
const otherQuestion = "\x1b[>c"

// flight is a picture whose fence has not been answered.
type flight struct {
	Landing
	number uint64 // of the fence, from 1
	late   bool
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

// lost drops the fences up to a number and returns the last of them.
func (f *flights) lost(upTo uint64) (last flight, ok bool) {
	for len(*f) > 0 && (*f)[0].number <= upTo {
		last, ok = (*f)[0], true
		*f = (*f)[1:]
	}
	return last, ok
}

// forget drops those that nobody answers any more.
func (f *flights) forget(now time.Time) {
	for len(*f) > 0 && (*f)[0].late && now.Sub((*f)[0].Written) >= forget {
		*f = (*f)[1:]
	}
}

// expire marks the flight that has waited for limit as late.
func (f *flights) expire(now time.Time, limit time.Duration) (Landing, bool) {
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
