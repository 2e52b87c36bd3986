package term

import (
	"context"
	"errors"
	"io"
	"net"
	"os"
	"slices"
	"testing"
	"testing/synctest"
	"time"
)

// script is a reader that gives one piece of text a read, after a time.
type script struct {
	steps []step
	end   error
}

type step struct {
	after time.Duration
	text  string
}

func (s *script) Read(p []byte) (int, error) {
	if len(s.steps) == 0 {
		return 0, s.end
	}
	st := s.steps[0]
	s.steps = s.steps[1:]
	time.Sleep(st.after) // of the bubble's clock
	return copy(p, st.text), nil
}

func TestListen(t *testing.T) {
	const ms = time.Millisecond
	for _, tt := range []struct {
		name  string
		steps []step
		want  []string
	}{
		{"keys", []step{{0, "k"}, {ms, "dd"}}, []string{"k", "d", "d"}},
		{"escape, then a key", []step{{0, "\x1b"}, {51 * ms, "k"}}, []string{"esc", "k"}},
		{"a sequence cut", []step{{0, "\x1b"}, {49 * ms, "["}, {49 * ms, "A"}}, []string{"up"}},
		{"an answer cut late", []step{{0, "\x1b_Gi=1;O"}, {3 * time.Second, "K\x1b"}, {ms, "\\k"}}, []string{"k"}},
		{"escape at the end", []step{{0, "\x1b"}}, []string{"esc"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				var events []Event
				err := Listen(t.Context(), &script{tt.steps, io.EOF}, time.Now, func(e Event) { events = append(events, e) })
				if got := keysOf(events); err != io.EOF || !slices.Equal(got, tt.want) {
					t.Errorf("%v, %v", got, err)
				}
			})
		})
	}
}

// The time of a key is that of its arrival.
func TestListenTime(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		start := time.Now()
		var at []time.Duration
		_ = Listen(t.Context(), &script{[]step{{time.Second, "k"}, {time.Second, "\x1b"}}, io.EOF}, time.Now, func(e Event) {
			at = append(at, e.(Key).At.Sub(start))
		})
		if want := []time.Duration{time.Second, 2 * time.Second}; len(at) != 2 || at[0] != want[0] || at[1] < want[1] {
			t.Errorf("%v", at)
		}
	})
}

func TestListenFails(t *testing.T) {
	broken := errors.New("broken")
	if err := Listen(t.Context(), &script{nil, broken}, time.Now, func(Event) {}); err != broken {
		t.Error(err)
	}
}

// Readers of every kind are let go when the context ends, and what was not read
// by then is left to the next.
func TestListenEnds(t *testing.T) {
	pr, pw, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	defer pr.Close()
	defer pw.Close()
	near, far := net.Pipe() // has no descriptor, but a deadline
	defer near.Close()
	defer far.Close()
	for _, tt := range []struct {
		name string
		r    io.Reader
		w    io.Writer
	}{{"file", pr, pw}, {"deadline", near, far}} {
		t.Run(tt.name, func(t *testing.T) {
			for range 3 {
				ctx, cancel := context.WithCancel(t.Context())
				got, done := make(chan Event), make(chan error)
				go func() { done <- Listen(ctx, tt.r, time.Now, func(e Event) { got <- e }) }()
				if _, err := tt.w.Write([]byte("k")); err != nil {
					t.Fatal(err)
				}
				if k := (<-got).(Key); k.Name != "k" {
					t.Errorf("%+v", k)
				}
				cancel()
				if err := <-done; err != nil {
					t.Error(err)
				}
			}
		})
	}
	t.Run("left to the next", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		_, _ = pw.Write([]byte("shell"))
		if err := Listen(ctx, pr, time.Now, func(e Event) { t.Errorf("%+v", e) }); err != nil {
			t.Error(err)
		}
		p := make([]byte, 5)
		if _, err := io.ReadFull(pr, p); err != nil || string(p) != "shell" {
			t.Errorf("%q, %v", p, err)
		}
	})
}
