// Command offload copies a folder to others with store/copy, several files at
// once, as an offload does but for its planning: for measuring.
//
//	offload [-at-once N] [-pool MIB] SOURCE DEST…
package main

import (
	"context"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"time"

	"garner/store/copy"
	"garner/store/vfs"
)

func main() {
	atOnce := flag.Int("at-once", 3, "copies at once")
	pool := flag.Int("pool", 16, "buffers in MiB")
	stages := flag.Bool("stages", false, "print the time spent in each stage")
	flag.Parse()
	if flag.NArg() < 2 {
		flag.Usage()
		os.Exit(2)
	}
	src, dests := flag.Arg(0), flag.Args()[1:]
	var files []string
	err := filepath.WalkDir(src, func(path string, d fs.DirEntry, err error) error {
		if err == nil && d.Type().IsRegular() {
			rel, _ := filepath.Rel(src, path)
			files = append(files, rel)
		}
		return err
	})
	fail(err)

	var (
		reader, mu sync.Mutex
		all        sync.WaitGroup
		spent      [copy.Done]time.Duration
		bypassed   = true
	)
	buffers := copy.NewPool(*pool << 20)
	work := make(chan string)
	for range *atOnce {
		all.Go(func() {
			for name := range work {
				job := copy.Job{Source: filepath.Join(src, name), Reader: &reader, Pool: buffers}
				for _, d := range dests {
					job.Dests = append(job.Dests, filepath.Join(d, name))
				}
				in := make([]copy.Stage, len(dests))
				since := make([]time.Time, len(dests))
				job.Stage = func(i int, s copy.Stage) {
					mu.Lock()
					defer mu.Unlock()
					if !since[i].IsZero() {
						spent[in[i]] += time.Since(since[i])
					}
					in[i], since[i] = s, time.Now()
				}
				res, err := copy.File(context.Background(), vfs.OS{}, job)
				fail(err)
				mu.Lock()
				for _, d := range res.Dests {
					bypassed = bypassed && d.Bypassed
				}
				mu.Unlock()
			}
		})
	}
	for _, f := range files {
		work <- f
	}
	close(work)
	all.Wait()
	if *stages {
		fmt.Fprintln(os.Stderr, "writing, syncing, reading back:", spent, "past the cache:", bypassed)
	}
}

func fail(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
