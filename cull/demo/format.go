package demo

import (
	"encoding/binary"
	"math/rand/v2"
)

// format is how large the files of all bodies are.
type format struct {
	w, h    int // of the full picture as stored
	quality int // of its JPEG
	grain   float32
	sensor  bool // the raws hold as many bytes as a sensor gives
}

func (o Options) format() format {
	if o.FullSize {
		return format{w: 6000, h: 4000, quality: 94, grain: 2, sensor: true}
	}
	return format{w: 2400, h: 1600, quality: 84, grain: 1}
}

// sensorOf is what stands for the sensor's data in a shot's raw: noise, which no
// archive can make smaller, as the body's own compression leaves nothing to gain.
// A DNG holds a byte for each pixel; the compressed raws of a 24-megapixel body
// have 20 to 28 MB.
func (f format) sensorOf(s *shot) []byte {
	if !f.sensor || s.kind == "JPEG" || s.broken {
		return nil
	}
	var key [32]byte
	binary.LittleEndian.PutUint64(key[:], s.seed)
	noise := rand.NewChaCha8(key)
	n := f.w * f.h
	if s.kind != "DNG" {
		n = 20_000_000 + int(noise.Uint64()%8_000_000)
	}
	b := make([]byte, n)
	_, _ = noise.Read(b) // it cannot fail
	return b
}
