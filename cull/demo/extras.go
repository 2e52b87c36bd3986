package demo

import (
	"encoding/binary"
	"math"
	"os"
	"path/filepath"

	"garner/cull/demo/stage"
)

type added struct {
	files int
	bytes int64
}

// extras writes what is no picture: a voice note to one frame of body A, and a
// text file that somebody left on the card.
func extras(dir string, p *plan) (added, error) {
	var n added
	put := func(path string, b []byte) error {
		n.files++
		n.bytes += int64(len(b))
		return os.WriteFile(filepath.Join(dir, filepath.FromSlash(path)), b, 0o644)
	}
	for _, m := range p.moments {
		if m.body == bodyA && m.view.Scene >= stage.Ceremony {
			if err := put("A/"+m.shots[0].name(bodyA)+".WAV", voiceNote()); err != nil {
				return n, err
			}
			break
		}
	}
	if len(p.shots) == 0 {
		return n, nil
	}
	folder := p.shots[0].truth.Body
	text := "Shot list\r\n\r\nrings, dress, letter\r\naisle, vows, kiss\r\nboth families, bridesmaids\r\ncake before nine\r\n"
	return n, put(folder+"/SHOTLIST.TXT", []byte(text))
}

// voiceNote is half a second of a falling tone: RIFF WAVE, PCM, mono, 8 kHz,
// 8 bits, the form that cameras write.
func voiceNote() []byte {
	const rate, n = 8000, 4000
	le := binary.LittleEndian
	b := append([]byte("RIFF"), le.AppendUint32(nil, 36+n)...)
	b = append(b, "WAVEfmt "...)
	b = le.AppendUint32(b, 16)
	b = le.AppendUint16(b, 1) // PCM
	b = le.AppendUint16(b, 1) // channels
	b = le.AppendUint32(b, rate)
	b = le.AppendUint32(b, rate) // bytes a second
	b = le.AppendUint16(b, 1)    // bytes a sample
	b = le.AppendUint16(b, 8)    // bits a sample
	b = append(b, "data"...)
	b = le.AppendUint32(b, n)
	for i := range n {
		t := float64(i) / rate
		b = append(b, byte(128+60*math.Sin(2*math.Pi*t*(440-300*t))*(1-2*t)))
	}
	return b
}
