package station

import "time"

const (
	// longestLook is the longest pause between two decisions that counts as work.
	longestLook = 30 * time.Second
	// paceOver is how many acts the pace is taken over.
	paceOver = 60
)

// pace measures how fast frames are decided, breaks left out.
type pace struct {
	acts []paced
}

type paced struct {
	at     time.Time
	frames int
}

// decided notes that frames were decided at a time; undone ones count negative.
func (p *pace) decided(at time.Time, frames int) {
	p.acts = append(p.acts, paced{at, frames})
	if len(p.acts) > paceOver+1 {
		p.acts = p.acts[1:]
	}
}

// perMinute is the number of frames decided in a minute of work; 0 = too little
// is known.
func (p *pace) perMinute() float64 {
	if len(p.acts) < 8 {
		return 0
	}
	var worked time.Duration
	frames := 0
	for i := 1; i < len(p.acts); i++ {
		worked += min(max(0, p.acts[i].at.Sub(p.acts[i-1].at)), longestLook)
		frames += p.acts[i].frames
	}
	if worked <= 0 || frames <= 0 {
		return 0
	}
	return float64(frames) / worked.Minutes()
}

// projected is how many frames will be kept if the open ones go as those that
// were decided.
func projected(yes, no, open int) int {
	if yes+no == 0 {
		return yes
	}
	return yes + (open*yes+(yes+no)/2)/(yes+no)
}
