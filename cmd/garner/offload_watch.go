package main

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"garner/cull"
	"garner/cull/intake/watch"
)

// watch waits for cards and files until it is interrupted. What goes wrong with one
// card is said and does not end it.
func (o *offloading) watch(ctx context.Context) error {
	var dirs []string
	for _, dir := range o.f.watch {
		path, err := filepath.Abs(dir)
		if err != nil {
			return err
		}
		if info, err := os.Stat(path); errors.Is(err, os.ErrNotExist) {
			o.sayf("%s is not there yet; it is waited for", cull.Plain(path))
		} else if err == nil && !info.IsDir() {
			return &usageError{"--watch wants a folder, and " + path + " is a file"}
		}
		dirs = append(dirs, path)
	}
	var except []string
	for _, dir := range append([]string{o.f.job}, o.f.also...) {
		if path, err := filepath.Abs(dir); err == nil {
			except = append(except, path)
		}
	}
	waiting := func() {
		o.sayf("waiting for cards and files in %s; Ctrl+C ends it", cull.Plain(strings.Join(dirs, ", ")))
	}
	waiting()
	var later held
	err := watch.Run(ctx, dirs, watch.Options{
		Now:    o.now,
		Ticks:  o.ticks,
		Except: except,
		Say:    func(s string) { later.say(o.desk, s) },
		Cards: func(ctx context.Context, roots []string) error {
			later.hold()
			if err := o.batch(ctx, roots, nil); err != nil {
				o.exit(ctx, err) // said; the next card may be a better one
			}
			later.release(o.desk)
			if ctx.Err() == nil {
				waiting()
			}
			return nil
		},
		Files: func(ctx context.Context, root string, paths []string) error {
			later.hold()
			if err := o.batch(ctx, []string{root}, paths); err != nil {
				o.exit(ctx, err)
			}
			later.release(o.desk)
			return nil
		},
	})
	if ctx.Err() != nil && errors.Is(err, context.Canceled) {
		o.stopped = true
		return nil
	}
	return err
}

// held keeps what the watch has to say, which goes on beside a run, until the run's
// block is off the terminal.
type held struct {
	mu        sync.Mutex
	on        bool
	sentences []string
}

func (h *held) say(d desk, s string) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.on {
		h.sentences = append(h.sentences, s)
		return
	}
	d.sayf("%s", cull.Plain(s))
}

func (h *held) hold() {
	h.mu.Lock()
	h.on = true
	h.mu.Unlock()
}

func (h *held) release(d desk) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for _, s := range h.sentences {
		d.sayf("%s", cull.Plain(s))
	}
	h.on, h.sentences = false, nil
}
