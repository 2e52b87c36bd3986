package main

import (
	"errors"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/timeline/day"
)

// timelinePixels is how wide a timeline is as PNG.
const timelinePixels = 1920

// toTerminal stands for --timeline without a file.
const toTerminal = "-"

// timelineFlag adds --timeline [FILE].
func timelineFlag(c *cobra.Command, to *string) {
	c.Flags().StringVar(to, "timeline", "", "draw the day: frames a minute, scenes, light, bodies; onto the terminal, or into a `FILE` that ends in .svg or .png")
	c.Flags().Lookup("timeline").NoOptDefVal = toTerminal
}

// timelineArgs takes the file out of the arguments: a flag with an optional value
// leaves it among them.
func timelineArgs(args []string, to *string) ([]string, error) {
	if *to == toTerminal && len(args) == 2 {
		for i, a := range args {
			if isPicture(a) {
				*to = a
				args = []string{args[1-i]}
				break
			}
		}
	}
	if *to != "" && *to != toTerminal && !isPicture(*to) || *to == toTerminal && len(args) == 2 {
		return nil, &usageError{"a timeline is written into a file that ends in .svg or .png"}
	}
	return args, nil
}

func isPicture(file string) bool {
	ext := strings.ToLower(filepath.Ext(file))
	return ext == ".svg" || ext == ".png"
}

// timeline draws a job's day.
func (d desk) timeline(j *job.Job, dir, to string) error {
	drawn, err := day.Of(j)
	if err != nil {
		return err
	}
	if len(drawn.Frames) == 0 {
		return hinted(errors.New("there is nothing to draw yet"), "garner prepare "+dir)
	}
	if to == toTerminal {
		width, height := d.screen()
		for _, line := range drawn.Text(width, height-1, d.paints() && d.getenv("NO_COLOR") == "") {
			d.drawing(line)
		}
		return nil
	}
	draw := drawn.SVG
	if strings.EqualFold(filepath.Ext(to), ".png") {
		draw = func() ([]byte, error) { return drawn.PNG(timelinePixels) }
	}
	data, err := draw()
	if err != nil {
		return err
	}
	if err := day.Write(to, data); err != nil {
		if errors.Is(err, day.ErrNotTimeline) {
			return hinted(err, "another name is free")
		}
		return err
	}
	d.sayf("timeline of %s in %s", count(len(drawn.Frames), "frame"), cull.Plain(to))
	return nil
}

// drawing writes one line of a drawing as it is: a prefix would not help anybody.
func (d desk) drawing(line string) { d.line("", "%s", []any{line}) }
