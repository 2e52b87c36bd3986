package main

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"runtime"

	"github.com/spf13/cobra"

	"garner/cull"
	"garner/cull/demo"
)

func demoCommand(d desk) *cobra.Command {
	var frames int
	var seed int64
	var cards string
	var fullSize bool
	c := &cobra.Command{
		Use:   "demo [DIR]",
		Short: "Make an invented wedding and open the station on it",
		Long: `Makes an invented wedding in DIR (default: garner-demo in the folder for temporary
files): two photographers with bodies of one model, clashing file names, clocks
7 min 20 s apart, bursts, soft frames, closed eyes and uneven exposure, in real
container layouts. Then it is prepared, and the station opens on it. Without a
terminal the next commands are named instead.

With --cards the same wedding lies on four cards in DIR, as it came home: raw and
JPEG on the two slots of one body, the raws twice on those of the other with one
file damaged, clashing names, last week's frames on one card. The offload command
to try is named.

With --full-size the files are as large as those of a body with 24 megapixels, to
see what copying, archiving and freeing come to: some 30 MB a frame, 40 frames
unless --frames says otherwise.

` + exitCodes,
		Example: "  garner demo\n  garner demo \"Demo job\" --frames 40\n  garner demo --cards Cards\n  garner demo \"Large job\" --full-size",
		Args: func(c *cobra.Command, args []string) error {
			if len(args) > 1 {
				return &usageError{"demo wants one folder at most"}
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error {
			if frames < 1 {
				return &usageError{"--frames is 1 or more"}
			}
			o := demo.Options{Frames: frames, Seed: seed, FullSize: fullSize}
			usual := !c.Flags().Changed("frames")
			if usual && fullSize {
				o.Frames = demo.FullSizeFrames
			}
			if cards != "" {
				if len(args) > 0 {
					return &usageError{"demo makes cards or a job, not both: leave out --cards or " + args[0]}
				}
				if usual && !fullSize {
					o.Frames = demo.CardsFrames
				}
				return d.demoCards(c.Context(), cards, o)
			}
			dir := filepath.Join(os.TempDir(), "garner-demo")
			if len(args) == 1 {
				dir = args[0]
			}
			return d.demo(c.Context(), dir, o)
		},
	}
	c.Flags().IntVar(&frames, "frames", demo.DefaultFrames, "how many frames to make")
	c.Flags().BoolVar(&fullSize, "full-size", false, "make files as large as those of a real body")
	c.Flags().StringVar(&cards, "cards", "", "make cards in this folder, to be offloaded")
	c.Flags().Int64Var(&seed, "seed", 0, "another number gives another day")
	return c
}

func (d desk) demo(ctx context.Context, dir string, o demo.Options) error {
	ahead := false
	// Beside the folder, which has to be empty at the beginning.
	unfinished := filepath.Clean(dir) + ".unfinished"
	if entries, err := os.ReadDir(dir); err == nil && len(entries) > 0 {
		// It is there already: show it again rather than write over it.
		if found, _ := filepath.Glob(filepath.Join(dir, "A", "VRNH*")); len(found) == 0 {
			return hinted(errors.New(dir+" is not empty"), "garner demo DIR takes another folder")
		}
		if _, err := os.Stat(unfinished); err == nil {
			return hinted(errors.New("the demo in "+dir+" was not drawn to its end"), "remove "+dir+" and "+unfinished+", and it is drawn anew")
		}
		d.sayf("the demo is already in %s and stays as it is", cull.Plain(dir))
	} else {
		o.Progress = func(done, total int) { d.progressf("drawing an invented wedding: %d of %d frames", done, total) }
		_, statErr := os.Stat(dir)
		if err := os.MkdirAll(filepath.Dir(unfinished), 0o777); err != nil {
			return err
		}
		if err := os.WriteFile(unfinished, nil, 0o666); err != nil {
			return err
		}
		sum, err := demo.Make(ctx, dir, o)
		if err != nil {
			if os.IsNotExist(statErr) {
				os.RemoveAll(dir) // half a wedding is no demo; the folder is of our making
				os.Remove(unfinished)
			}
			return err
		}
		os.Remove(unfinished)
		d.sayf("an invented wedding in %s: %s in %s, %s", cull.Plain(dir), count(sum.Frames, "frame"), count(sum.Files, "file"), size(sum.Bytes))
		for _, b := range sum.Bodies {
			ahead = ahead || b.Letter == "B" && b.Frames > 0
			d.sayf("  body %s: %s no. %s, %s", b.Letter, b.Model, b.Serial, count(b.Frames, "frame"))
		}
	}
	_, err := d.prepare(ctx, dir, jobFlags{}, measureFlags{none: true}, runtime.GOMAXPROCS(0))
	var partly *partlyError
	if errors.As(err, &partly) {
		d.sayf("%s", partly.text) // a frame with a cut-off preview belongs to the demo
	} else if err != nil {
		return err
	}
	word := shellWord(dir)
	if ahead {
		d.sayf("body B's clock runs %d s ahead: garner clocks %s --set B=-%ds", demo.OffsetSeconds, word, demo.OffsetSeconds)
	}
	if d.inTTY && d.outTTY {
		return d.cull(ctx, dir, jobFlags{}, stationFlags{picture: "auto"})
	}
	d.sayf("the station, in a terminal: garner cull %s", word)
	d.sayf("where it stands: garner status %s", word)
	d.sayf("next: echo 'keep A/VRNH0001' | garner decide %s", word)
	return nil
}
