package term

import "time"

// Shot is a picture to show.
type Shot struct {
	ID uint64
	// Build makes its bytes. It is run on the writer goroutine when its turn
	// has come, so that what was never shown was never made. If it returns nil
	// the picture has failed. Without a Build there is a fence only.
	Build func() []byte
}

// LandState says how far a picture has come.
type LandState int

// The states of a picture, in their order. Drawn may follow Late.
const (
	Written LandState = iota // the write returned
	Drawn                    // the terminal answered the fence behind it
	Late                     // the limit passed: frees the queue, never counts as drawn
	Failed                   // it could not be made or written
)

func (s LandState) String() string {
	switch s {
	case Written:
		return "written"
	case Drawn:
		return "drawn"
	case Late:
		return "late"
	}
	return "failed"
}

// Landing tells what became of a shot.
type Landing struct {
	ID    uint64
	State LandState
	// Asked is when Show was called, Built when its bytes were there, Written
	// when the terminal had taken them, Acked when it answered.
	Asked, Built, Written, Acked time.Time
	Bytes                        int
	Err                          error
}

// ScreenOptions may be left empty.
type ScreenOptions struct {
	Fence   func(id uint64) []byte // CSI 5 n
	NoFence bool                   // nothing is asked: a picture is through when it is written
	Limit   time.Duration          // how long an answer is waited for; 2 s
	Queue   int                    // bytes of text that may wait; 8 MiB
	Now     func() time.Time       // time.Now
	// Landed is told what became of the shots, and Lost that frames were
	// dropped because the terminal took none for too long, now that it takes
	// some again: it needs a full repaint. Both are called from the writer
	// goroutine and must not block; they may call the Screen.
	Landed func(Landing)
	Lost   func()
}
