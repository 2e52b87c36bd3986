package term

import (
	"slices"
	"time"
)

// forget is the age at which an answer to a fence is not waited for any more, by a
// terminal that has not shown that it answers the other question either.
const forget = time.Minute

// otherQuestion is asked when an unnumbered fence is late (DA2). Its answer proves
// that every fence before it was answered or lost: answers come in order.
const otherQuestion = "\x1b[>c"

// flight is a picture whose fence has not been answered.
type flight struct {
	Landing
	number   uint64 // of the fence, from 1
	numbered bool   // its answer names the picture
	ahead    bool   // it was sent ahead: nobody hears of it
	late     bool
}

// flights are the outstanding ones, oldest first. Of those that are not ahead at
// most the last is not late; of those that are ahead there is one at most.
type flights []flight

// last returns the newest that is not ahead, nil if there is none.
func (f flights) last() *flight {
	for i := len(f) - 1; i >= 0; i-- {
		if !f[i].ahead {
			return &f[i]
		}
	}
	return nil
}

// open reports whether the queue is held up.
func (f flights) open() bool {
	last := f.last()
	return last != nil && !last.late
}

// answered takes the flight that an answer belongs to. Answers come in the
// order of the questions, so it is the oldest one of its kind; a numbered answer
// names its own, and those before it were lost on the way. It returns false if
// nobody is to hear of it.
func (f *flights) answered(a ack) (Landing, bool) {
	for i, fl := range *f {
		if fl.numbered != a.numbered || a.numbered && (fl.ahead != a.ahead || uint16(fl.ID) != a.number) {
			continue
		}
		if fl.ahead {
			*f = slices.Delete(*f, i, i+1)
			return Landing{}, false
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

// lost drops the fences up to a number and returns the last of them that is not
// ahead.
func (f *flights) lost(upTo uint64) (last flight, ok bool) {
	for len(*f) > 0 && (*f)[0].number <= upTo {
		if !(*f)[0].ahead {
			last, ok = (*f)[0], true
		}
		*f = (*f)[1:]
	}
	return last, ok
}

// forget drops those that nobody answers any more. One that is ahead stays: as
// long as the terminal has not answered anything since, it gets no other.
func (f *flights) forget(now time.Time) {
	*f = slices.DeleteFunc(*f, func(fl flight) bool { return fl.late && now.Sub(fl.Written) >= forget })
}

// expire marks the flight that has waited for limit as late.
func (f *flights) expire(now time.Time, limit time.Duration) (Landing, bool) {
	if !f.open() {
		return Landing{}, false
	}
	last := f.last()
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
	ahead    bool
	err      error // what came before it said that the picture failed
}
