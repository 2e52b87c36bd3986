package term

import (
	"encoding/base64"
	"sync/atomic"

	"github.com/charmbracelet/x/ansi/kitty"
)

// This file writes what both ways of the kitty graphics protocol have in common
// (sw.kovidgoyal.net/kitty/graphics-protocol). Showing has q=1, so that the
// terminal answers only what it could not do: that answer comes before the one
// to the fence, and the picture does not count as drawn. Deleting has q=2.

// kittyStore is a terminal's store of pictures.
type kittyStore struct {
	c      Caps
	files  *files
	medium atomic.Int32 // the fastest that the terminal has not refused
}

func newKitty(c Caps, f *files) *kittyStore {
	k := &kittyStore{c: c, files: f}
	k.medium.Store(int32(sharedMemory) - 1)
	k.slower()
	return k
}

// slower takes the next medium that the terminal has and reports whether there
// was one.
func (k *kittyStore) slower() bool {
	for m := medium(k.medium.Load()) + 1; m <= inBand; m++ {
		if m == inBand || m == sharedMemory && k.c.SharedMemory || m == tempFile && k.c.TempFile {
			k.medium.Store(int32(m))
			return true
		}
	}
	return false
}

func (k *kittyStore) grid(w, h float64) grid { return grid{w, h, 1, 1, 1} }

// prepare puts the pixels where the terminal can take them from, else into what
// is sent between the other bytes.
func (k *kittyStore) prepare(e *easel, s *sheet) (load, error) {
	pix := e.rgba(s.picture, s.layout, s.look)
	if e.stopped() {
		return load{}, errStopped
	}
	for m := medium(k.medium.Load()); m < inBand; m++ { // the next also where shared memory is full
		if m == tempFile && !k.c.TempFile {
			continue
		}
		file, err := k.files.write(m, pix)
		if err == nil {
			return load{file: file, medium: m, size: int64(len(pix))}, nil
		}
		if err == errClosed {
			return load{}, err
		}
	}
	png := e.packer.pack(pix, s.w, s.h, !s.fullCanvas())
	data := base64.StdEncoding.AppendEncode(make([]byte, 0, base64.StdEncoding.EncodedLen(len(png))), png)
	return load{data: data, medium: inBand, size: int64(len(data))}, nil
}

// transmit brings a picture into the store.
func (k *kittyStore) transmit(o *ink, s *sheet) {
	switch l := s.load; l.medium {
	case sharedMemory:
		o.commandData(sharedName(l.file), "a=t,q=1,i=", s.id, ",f=32,s=", s.w, ",v=", s.h, ",t=s,S=", s.w*s.h*4)
		k.files.hand(l.file)
	case tempFile:
		o.commandData([]byte(l.file), "a=t,q=1,i=", s.id, ",f=32,s=", s.w, ",v=", s.h, ",t=t,S=", s.w*s.h*4)
		k.files.hand(l.file)
	default:
		k.part(o, s, 0, len(l.data))
	}
}

// part writes chunks of a picture that goes between the other bytes.
func (k *kittyStore) part(o *ink, s *sheet, from, chunks int) (to int) {
	for data := s.load.data; chunks > 0 && from < len(data); chunks-- {
		n := min(len(data)-from, kitty.MaxChunkSize)
		more := 0
		if from+n < len(data) {
			more = 1
		}
		if from == 0 {
			o.commandBase64(data[:n], "a=t,q=1,i=", s.id, ",f=100,t=d,m=", more)
		} else {
			o.commandBase64(data[from:from+n], "q=1,m=", more)
		}
		from += n
	}
	return from
}

// cut ends a picture's chunks early: the terminal finds it broken and says
// nothing. kitty 0.26 and 0.41 go on from there as if nothing had been.
func (k *kittyStore) cut(o *ink) { o.command("q=2,m=0") }

// forget leaves one pixel of a picture. Deleting it with its data would take
// other pictures along: kitty, as seen in 0.26, then frees all that have no
// placement, whatever their id.
func (k *kittyStore) forget(o *ink, id int) {
	o.commandBase64([]byte("AAAA"), "a=t,q=2,i=", id, ",f=24,s=1,v=1,t=d")
}

func (k *kittyStore) delete(o *ink, id int) { o.command("a=d,d=I,q=2,i=", id) }
