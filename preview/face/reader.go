package face

import "errors"

var (
	errNoPicture = errors.New("there is no picture to look at")
	errOutput    = errors.New("the network gave something else than it should")
)

// ErrNoFace is returned for one face of which a network can make nothing; the others are
// none the worse.
var ErrNoFace = errors.New("there is no face to look at")

// Reader runs the networks. It holds 13 MB, with that of templates 36, and is for one
// goroutine.
type Reader struct {
	nets  networks
	taker taker
}

// New returns a Reader; the networks are unpacked when they are first needed.
func New() *Reader { return &Reader{nets: &builtIn{}} }

// network is one network with room for its input.
type network interface {
	input() []float32          // to be filled before each run: side by side pixels of three channels
	run() ([][]float32, error) // what it gives, until the next run
}

// networks makes them when they are wanted.
type networks interface {
	finder() (network, error)
	mesh() (network, error)
	likeness() (network, error)
}

// ofLength is the output of that length; nil if there is none.
func ofLength(out [][]float32, n int) []float32 {
	for _, o := range out {
		if len(o) == n {
			return o
		}
	}
	return nil
}
