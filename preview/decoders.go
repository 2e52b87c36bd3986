package preview

import (
	"sync"

	"garner/preview/jpeg"
)

// Decoders are decoders that are not in use, with the tables and buffers they made:
// one camera's pictures have the same tables, which take a millisecond to make.
// The zero value is ready, also as a nil pointer, and may be used by several
// goroutines; one Decoders serves all that is rendered.
type Decoders struct {
	mu   sync.Mutex
	free []*jpeg.Decoder
}

const maxDecoders = 4 // as many as work side by side, about; more are not kept

// Decode is jpeg.Decode.
func (p *Decoders) Decode(src []byte, o jpeg.Options) (*jpeg.Image, error) {
	d := p.take()
	m, err := d.Decode(src, o)
	p.give(d)
	return m, err
}

func (p *Decoders) take() *jpeg.Decoder {
	if p == nil {
		return jpeg.NewDecoder()
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	n := len(p.free)
	if n == 0 {
		return jpeg.NewDecoder()
	}
	d := p.free[n-1]
	p.free = p.free[:n-1]
	return d
}

func (p *Decoders) give(d *jpeg.Decoder) {
	if p == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(p.free) < maxDecoders {
		p.free = append(p.free, d)
	}
}
