package main

import (
	"context"
	"fmt"
	"time"

	"github.com/spf13/cobra"
)

// offloadFlags are the command line of offload.
type offloadFlags struct {
	jobFlags
	cards    []string
	job      string
	also     []string
	days     []string
	provenIn []string
	watch    []string
	single   bool
	dry      bool
}

func offloadCommand(do func(context.Context, offloadFlags) error) *cobra.Command {
	var f offloadFlags
	c := &cobra.Command{
		Use:   "offload CARD... --job JOB",
		Short: "Take memory cards into the job: verified copies, nothing lost, nothing twice",
		Long: `Copies every file of the cards, drives and folders named into JOB, and into each
--also folder from the same reading: hashed, synced, read back from the medium.
The folder of the job is made if there is none. Cards are only ever read.

Frames go to a folder for each body (A/IMG_0001.CR3), another exposure under a
taken name to the next (A2/), clips to clips/. What the job has already, under
whatever name, is not copied again; nothing there is ever overwritten. Stopped
at any point, the same command goes on from there.

At the end it says of each card whether it may be formatted: only when every
file of it was read from the card in this run and read back from two
destinations on different devices. One --also on another disk does that;
--single-copy is content with one copy, and says what that risks.

` + exitCodes + ` Here 3 means that a file of a card
did not arrive everywhere: keep that card.`,
		Example: `  garner offload /media/anna/EOS_DIGITAL --job "Job 0613" --also "/media/anna/SSD/Job 0613"
  garner offload E:\ F:\ --job "Job 0613" --also "D:\Copies\Job 0613" --dry-run
  garner offload --watch /media/anna --job "Job 0613" --also "/mnt/nas/Job 0613"
  garner offload /media/anna/EOS_DIGITAL --job "Job 0613" --day 2026-06-13`,
		Args: func(_ *cobra.Command, cards []string) error {
			f.cards = cards
			return nil
		},
		RunE: func(c *cobra.Command, _ []string) error {
			if err := f.check(); err != nil {
				return err
			}
			return do(c.Context(), f)
		},
	}
	f.add(c, true)
	c.Flags().StringVar(&f.job, "job", "", "the `JOB` that the cards go into")
	c.Flags().StringArrayVar(&f.also, "also", nil, "a second (third, …) copy of everything in `DIR`")
	c.Flags().StringArrayVar(&f.days, "day", nil, "take only this `DAY` (2026-06-13, from five in the morning); may be repeated")
	c.Flags().StringArrayVar(&f.provenIn, "proven-in", nil, "files left out by --day are looked for in `OTHERJOB`")
	c.Flags().BoolVar(&f.single, "single-copy", false, "one destination is enough: a fault of that disk loses the frames")
	c.Flags().BoolVar(&f.dry, "dry-run", false, "say what would be done, copy nothing")
	c.Flags().StringArrayVar(&f.watch, "watch", nil, "wait in `DIR` for cards to be mounted and files to land, until interrupted")
	return c
}

// check says what makes no sense on the command line.
func (f offloadFlags) check() error {
	for _, list := range []struct {
		what  string
		names []string
	}{{"a card", f.cards}, {"an --also folder", f.also}, {"a --proven-in folder", f.provenIn}, {"a --watch folder", f.watch}} {
		for _, n := range list.names {
			if n == "" { // an unset variable of a script
				return &usageError{"the name of " + list.what + " is empty"}
			}
		}
	}
	for _, day := range f.days {
		if _, err := time.Parse("2006-01-02", day); err != nil {
			return &usageError{fmt.Sprintf("--day is a date like 2026-06-13, not %s", day)}
		}
	}
	switch {
	case len(f.cards) == 0 && len(f.watch) == 0:
		return &usageError{"offload wants a card, a drive or a folder to read from, or --watch DIR"}
	case f.job == "":
		return &usageError{"offload wants --job JOB, the job that the cards go into"}
	case len(f.provenIn) > 0 && len(f.days) == 0:
		return &usageError{"--proven-in is about what --day leaves out: name the days to take"}
	case f.dry && len(f.watch) > 0:
		return &usageError{"--dry-run looks at cards that are there: it does not go with --watch"}
	}
	return nil
}
