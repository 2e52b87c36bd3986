package jpeg

import (
	"errors"
	"testing"
)

func TestStop(t *testing.T) {
	src := coded(t, scene(320, 240), 85)
	closed := make(chan struct{})
	close(closed)
	for name, b := range map[string][]byte{"whole": src, "cut": src[:len(src)/2]} {
		if m, err := Decode(b, Options{Stop: closed}); !errors.Is(err, ErrStopped) || m != nil {
			t.Errorf("%s: image %v, error %v", name, m != nil, err)
		}
		if _, err := Decode(b, Options{Stop: make(chan struct{})}); err != nil {
			t.Errorf("%s, not stopped: %v", name, err)
		}
	}
}

// Data that are handed out slowly must not hold a stopped decode: it ends at
// the next read, not at the end of the data.
func TestStopInTheMiddle(t *testing.T) {
	src := coded(t, scene(320, 240), 95)
	stop := make(chan struct{})
	h, err := headerOf(src)
	if err != nil {
		t.Fatal(err)
	}
	h.stop = stop
	r := &dribble{src: src}
	half := readFunc(func(p []byte) (int, error) {
		if r.at == len(src)/2 {
			close(stop)
		}
		return r.Read(p)
	})
	if _, err := h.decode(half); !errors.Is(err, ErrStopped) || r.at > len(src)*2/3 {
		t.Errorf("at %d of %d: %v", r.at, len(src), err)
	}
}

// Rows that are decoded here are counted: a decode ends with the row in which
// it was stopped.
func TestStopEndsWithTheRow(t *testing.T) {
	src := coded(t, scene(320, 240), 85)
	d := NewDecoder()
	if err := d.header.parse(src); err != nil || !d.job.sequential(&d.header) {
		t.Fatal(err)
	}
	stop := make(chan struct{})
	d.job.right, d.job.bottom = d.job.across, d.job.down
	if err := d.prepare(src, Options{Scale: 1, Stop: stop}); err != nil {
		t.Fatal(err)
	}
	k := d.at(0)
	strips := 0
	k.put = func(row, at, n int) {
		if strips++; row == 3 {
			close(stop)
		}
		clear(k.strip.Coef)
	}
	k.begin(&d.job)
	if got := k.rows(&d.job, 0, d.job.down); got != 4 || strips != 4 {
		t.Errorf("%d rows and %d strips after a stop in row 3", got, strips)
	}
	if m, err := d.Decode(src, Options{Stop: stop, Workers: 2}); !errors.Is(err, ErrStopped) || m != nil {
		t.Errorf("image %v, error %v", m != nil, err)
	}
}

type readFunc func([]byte) (int, error)

func (f readFunc) Read(p []byte) (int, error) { return f(p) }
