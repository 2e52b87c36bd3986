package main

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"garner/cull"
	"garner/cull/intake"
)

// The exit codes that scripts may rely on.
const (
	exitDone        = 0
	exitFailed      = 1
	exitUsage       = 2
	exitPartly      = 3 // finished, but some files failed; each is listed
	exitInterrupted = 130
)

const exitCodes = `Exit codes: 0 done, 1 failed, 2 wrong use, 3 finished but some files failed
(each is listed), 130 interrupted.`

// usageError is a command line that makes no sense.
type usageError struct{ text string }

func (e *usageError) Error() string { return e.text }

// partlyError ends a command that finished although some files failed; the
// files have been listed already.
type partlyError struct{ text string }

func (e *partlyError) Error() string { return e.text }

// errTold ends a command that was interrupted and has said so itself.
var errTold = errors.New("interrupted")

// hintedError carries what the person can do about an error.
type hintedError struct {
	err   error
	hints []string
}

func (e *hintedError) Error() string { return e.err.Error() }
func (e *hintedError) Unwrap() error { return e.err }

func hinted(err error, hints ...string) error { return &hintedError{err, hints} }

// run is the whole program: arguments in, exit code out.
func run(ctx context.Context, args []string, d desk) int {
	root := newRoot(d)
	root.SetArgs(joinPairs(args))
	root.SetIn(d.in)
	root.SetOut(d.out)
	root.SetErr(d.err)
	c, err := root.ExecuteContextC(ctx)
	var usage *usageError
	var hint *hintedError
	if errors.As(err, &usage) && !errors.As(err, &hint) && c != root {
		err = hinted(err, c.CommandPath()+" --help shows how it is used")
	}
	return d.exit(ctx, err)
}

// exit says what went wrong and gives the exit code for it.
func (d desk) exit(ctx context.Context, err error) int {
	if err == nil {
		return exitDone
	}
	var usage *usageError
	var partly *partlyError
	var hint *hintedError
	switch {
	case errors.As(err, &partly):
		d.sayf("%s", partly.text)
		return exitPartly
	case errors.Is(err, errTold):
		return exitInterrupted
	case ctx.Err() != nil && errors.Is(err, context.Canceled):
		d.sayf("interrupted; what is done is kept, the same command goes on from here")
		return exitInterrupted
	case errors.As(err, &usage):
		d.errorf("%s", cull.Plain(usage.text))
		if !errors.As(err, &hint) {
			hint = &hintedError{err, []string{"garner --help shows the commands, garner COMMAND --help one of them"}}
		}
		for _, h := range hint.hints {
			d.hintf("%s", h)
		}
		return exitUsage
	}
	d.errorf("%s", cull.Plain(err.Error()))
	if errors.As(err, &hint) {
		for _, h := range hint.hints {
			d.hintf("%s", h)
		}
	}
	return exitFailed
}

func newRoot(d desk) *cobra.Command {
	root := &cobra.Command{
		Use:   "garner",
		Short: "From the memory cards to a finished, archived wedding job",
		Long: `garner is a station for the person in a wedding studio who takes thousands of raw
frames from the memory cards to a finished, archived job. It decides on the
camera's own embedded JPEGs, never writes an original, and loses nothing.

` + exitCodes,
		Example: `  garner demo                       make an invented wedding and look around
  garner offload /media/anna/EOS --job "Job 0613" --also "/mnt/two/Job 0613"
                                    verified copies of a card, on two disks
  garner prepare "Job 0613"         find the frames, make thumbnails, group them
  garner status "Job 0613"          where the job stands and what comes next
  garner handoff "Job 0613"         sidecars and lists for the raw editor
  garner render "Job 0613"          lab, online and screen sizes of what it gave back`,
		Version:                    version(),
		SuggestionsMinimumDistance: 2,
		SilenceErrors:              true,
		SilenceUsage:               true,
		DisableAutoGenTag:          true,
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) > 0 {
				return &usageError{"there is no command " + args[0] + suggestion(c, args[0])}
			}
			return c.Help()
		},
		Args: cobra.ArbitraryArgs,
	}
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return &usageError{flagText(err)} })
	take := func(ctx context.Context, f offloadFlags) error { return d.offload(ctx, f, intake.Run) }
	root.AddCommand(demoCommand(d), offloadCommand(take), prepareCommand(d), cullCommand(d), decideCommand(d), handoffCommand(d), renderCommand(d), archiveCommand(d),
		recallCommand(d), clocksCommand(d), scenesCommand(d), peopleCommand(d), statusCommand(d), verifyCommand(d), manCommand(d))
	return root
}

// flagText is what is wrong with a flag, without the names of Go's functions.
func flagText(err error) string {
	text, _, ofGo := strings.Cut(err.Error(), " flag: strconv.")
	switch {
	case !ofGo:
		return err.Error()
	case errors.Is(err, strconv.ErrRange):
		return text + ": the number is too large"
	case strings.Contains(err.Error(), "strconv.ParseBool"):
		return text + ": true or false is wanted"
	}
	return text + ": a number is wanted"
}

func suggestion(c *cobra.Command, word string) string {
	if s := c.SuggestionsFor(word); len(s) > 0 {
		return "; did you mean " + strings.Join(s, " or ") + "?"
	}
	return ""
}

// oneJob is the argument rule of most commands: exactly one job folder.
func oneJob(c *cobra.Command, args []string) error {
	if len(args) != 1 {
		return &usageError{fmt.Sprintf("%s wants one job folder", c.Name())}
	}
	if args[0] == "" { // an unset variable of a script, not the folder one stands in
		return &usageError{"the name of the job folder is empty"}
	}
	return nil
}

// version is the module's version, or the commit it was built from.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	v := info.Main.Version
	if v == "" || v == "(devel)" {
		v = "devel"
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 12 {
			v += " " + s.Value[:12]
		}
	}
	return v
}
