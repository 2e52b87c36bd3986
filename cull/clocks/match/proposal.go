package match

import (
	"time"

	"garner/cull"
)

// Confidence is how far a proposal may be trusted.
type Confidence int

// The degrees of confidence. Only Sure is meant to be set without looking.
const (
	CannotTell Confidence = iota
	Likely
	Sure
)

// String is the word for people.
func (c Confidence) String() string {
	return [...]string{"cannot tell", "likely", "sure"}[c]
}

// Proposal is what the pictures say of one stretch of one body's clock.
type Proposal struct {
	Body    string // key of the body
	Against string // key of the body whose clock is taken as right

	// The stretch: from the frame First on, which the body's own clock put at From.
	// From is zero where the stretch is the earliest on the clock's face, so that
	// it holds from the start. Frames is how many of the body's are in it.
	From   time.Time
	First  cull.ID
	Frames int

	// Add brings the body's clock onto that of Against, as both showed it; it is
	// meaningless with CannotTell.
	Add time.Duration

	Confidence Confidence
	Reason     string // why no more can be said, in words; "" with Sure

	Pairs    int           // glimpses of the body that match one of another body at this offset
	Moments  int           // of those, in how many places of the day
	Spread   time.Duration // half of the matching pairs are at most so far from Add
	Rival    float64       // the votes of the next best offset as a share of this one's
	Examples []Pair        // the pairs that count most, for the eye
}

// Pair are two frames that seem to show the same instant.
type Pair struct {
	Of, Like cull.ID // the body's own, the other's
	Unlike   int     // bits of 64
}

// Options are the limits of matching. Zero fields take the defaults.
type Options struct {
	Reference string        // key of the body whose clock is right; "" = chosen
	Range     time.Duration // largest offset looked for within a day of shooting; default 26 h
}

func (o Options) withDefaults() Options {
	if o.Range == 0 {
		o.Range = 26 * time.Hour
	}
	return o
}
