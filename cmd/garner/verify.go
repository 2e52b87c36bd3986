package main

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/verify"
)

func verifyCommand(d desk) *cobra.Command {
	var f jobFlags
	var record bool
	c := &cobra.Command{
		Use:   "verify JOB",
		Short: "Check every original against its recorded sum, and the catalogue against itself",
		Long: `Reads every original whole, past the system's cache where the system can, and
compares it with .garner/manifest-sha256.txt (which "sha256sum -c" reads as well);
does the same in every other destination of the job that can be reached, each with
its own manifest; and holds catalogue, journal and decisions against each other.
Sidecars as they came from the cards are compared too; that they were changed is
said and is no fault. A destination may also be given by itself.

With --record, files that are not in the manifest yet are added: for a folder that
garner did not copy itself.

` + exitCodes,
		Example: "  garner verify \"Job 0613\"\n  garner verify \"Job 0613\" --record\n  garner verify \"/Volumes/Mirror/Job 0613\"",
		Args:    oneJob,
		RunE: func(c *cobra.Command, args []string) error {
			return d.verify(c.Context(), args[0], f, record)
		},
	}
	f.add(c, true)
	c.Flags().BoolVar(&record, "record", false, "take files that are not in the manifest into it")
	return c
}

// The stream of verify --json: a file that is not as recorded, once a second how
// far it is, and the end, which comes also when it was interrupted.
type (
	jsonVerified struct {
		V      int          `json:"v"`
		Event  string       `json:"event"`
		Path   string       `json:"path"`
		Raw    string       `json:"raw,omitempty"`
		Place  string       `json:"place,omitempty"` // the destination that it is in; none = the job
		XMP    bool         `json:"sidecar,omitempty"`
		State  verify.State `json:"state"`
		Reason string       `json:"reason,omitempty"`
	}
	jsonProgress struct {
		V     int    `json:"v"`
		Event string `json:"event"`
		Files int    `json:"files"`
		Total int    `json:"total"`
		Bytes int64  `json:"bytes"`
		All   int64  `json:"all"`
	}
	jsonVerifyPlace struct {
		V         int                  `json:"v"`
		Event     string               `json:"event"`
		Path      string               `json:"path"`
		Raw       string               `json:"raw,omitempty"`
		Reachable bool                 `json:"reachable"`
		Files     map[verify.State]int `json:"files"`
		Sidecars  map[verify.State]int `json:"sidecars"`
		Lacks     int                  `json:"lacks"` // files of the job's manifest that its own does not list
		Fault     *string              `json:"fault"`
	}
	jsonVerifyDone struct {
		V         int                  `json:"v"`
		Event     string               `json:"event"`
		Files     map[verify.State]int `json:"files"`
		Bytes     int64                `json:"bytes"`
		Catalogue []string             `json:"catalogue"`
		Bad       int                  `json:"bad"`
		Sidecars  map[verify.State]int `json:"sidecars"`
		Cached    int                  `json:"from_cache"`   // files that the system gave from its cache
		None      bool                 `json:"no_catalogue"` // there is none: only files were compared
	}
)

func (d desk) verify(ctx context.Context, dir string, f jobFlags, record bool) error {
	check, end, err := d.verifier(ctx, dir, f, record)
	if err != nil {
		return err
	}
	defer end()
	start := d.now()
	told := start
	sum, err := check(verify.Options{
		Record: record,
		Line:   func(l verify.Line) { d.verifyLine(f.json, l) },
		Progress: func(files, total int, bytes, all int64) {
			d.progressf("%d of %d files, %s", files, total, rate(bytes, all, d.now().Sub(start)))
			if f.json && d.now().Sub(told) >= time.Second {
				told = d.now()
				_ = d.object(jsonProgress{1, "progress", files, total, bytes, all})
			}
		},
	})
	for _, s := range sum.Catalogue {
		d.sayf("catalogue: %s", cull.Plain(s))
	}
	if f.json {
		for _, p := range sum.Places {
			_ = d.object(jsonVerifyPlace{1, "place", p.Path, rawName(p.Path), p.Reachable, p.Files, p.Sidecars, p.Lacks, known(p.Fault)})
		}
		_ = d.object(jsonVerifyDone{1, "done", sum.Files, sum.Bytes, append([]string{}, sum.Catalogue...), sum.Bad(), sum.Sidecars, sum.Cached, sum.NoCatalogue})
	}
	if err != nil {
		return err
	}
	d.verifySummary(dir, sum)
	if sum.Bad() > 0 {
		return &partlyError{fmt.Sprintf("wrong: %s, listed above", count(sum.Bad(), "thing"))}
	}
	return nil
}

// verifier opens what is to be verified: a job, or a copy of one without a
// catalogue, which gets none.
func (d desk) verifier(ctx context.Context, dir string, f jobFlags, record bool) (check func(verify.Options) (verify.Summary, error), end func() error, err error) {
	if f.state == "" && verify.Alone(dir) {
		if record {
			return nil, nil, hinted(errors.New("there is no catalogue here, and --record is for a job"), "garner prepare "+shellWord(dir)+" makes the job from its journal and its files")
		}
		check = func(o verify.Options) (verify.Summary, error) { return verify.Folder(ctx, dir, o) }
		return check, func() error { return nil }, nil
	}
	j, err := d.openPrepared(dir, f, job.Options{Command: "verify"})
	if err != nil {
		return nil, nil, err
	}
	if err := d.needFrames(ctx, j); err != nil {
		return nil, nil, errors.Join(err, j.Close())
	}
	check = func(o verify.Options) (verify.Summary, error) { return verify.Run(ctx, j, o) }
	return check, j.Close, nil
}

func (d desk) verifyLine(json bool, l verify.Line) {
	if json {
		_ = d.object(jsonVerified{1, "file", l.Path, rawName(l.Path), l.Place, l.Sidecar, l.State, l.Reason})
	}
	if l.State == verify.New || l.State == verify.Recorded {
		return
	}
	name := cull.Plain(l.Path)
	if l.Place != "" {
		name += " in " + cull.Plain(l.Place)
	}
	if l.Sidecar {
		name = "sidecar " + name
	}
	d.sayf("%s: %s", name, strings.TrimSuffix(string(l.State)+": "+cull.Plain(l.Reason), ": "))
}

func (d desk) verifySummary(dir string, sum verify.Summary) {
	wrong := func(files map[verify.State]int) int {
		return files[verify.Changed] + files[verify.Missing] + files[verify.Unreadable]
	}
	catalogue := "the catalogue is sound"
	switch {
	case sum.NoCatalogue:
		catalogue = "there is no catalogue here, only the files were compared"
	case len(sum.Catalogue) > 0:
		catalogue = "the catalogue is damaged"
	}
	d.sayf("as recorded: %s; %d newly recorded, %d not recorded, %d moved, %d wrong; %s", count(sum.Files[verify.Same], "file"),
		sum.Files[verify.Recorded], sum.Files[verify.New], sum.Files[verify.Moved], wrong(sum.Files), catalogue)
	if n := sum.Files[verify.Freed]; n > 0 {
		d.sayf("freed on purpose: %s, after proof of their archive", count(n, "original"))
	}
	d.verifySidecars("sidecars as they came from the cards", sum.Sidecars)
	for _, p := range sum.Places {
		name := cull.Plain(p.Path)
		switch {
		case !p.Reachable:
			d.sayf("%s: not reachable, not verified", name)
			continue
		case p.Fault != "":
			d.sayf("%s: not verified: %s", name, cull.Plain(p.Fault))
			continue
		}
		lacks := ""
		if p.Lacks > 0 {
			lacks = fmt.Sprintf("; its manifest lacks %s of the job's", count(p.Lacks, "file"))
		}
		d.sayf("%s: as recorded: %s, %d wrong%s", name, count(p.Files[verify.Same], "file"), wrong(p.Files), lacks)
		d.verifySidecars(name+": sidecars", p.Sidecars)
	}
	if sum.Cached > 0 {
		d.sayf("the system gave %s from its cache: the sums are right, the medium is not proven", count(sum.Cached, "file"))
	}
	if sum.Files[verify.New] > 0 {
		d.hintf("garner verify %s --record takes the files that are not recorded into the manifest", shellWord(dir))
	}
}

func (d desk) verifySidecars(name string, s map[verify.State]int) {
	if n := s[verify.Same] + s[verify.Changed] + s[verify.Missing] + s[verify.Unreadable]; n > 0 {
		d.sayf("%s: %d unchanged, %d changed since, %d gone, %d unreadable", name, s[verify.Same], s[verify.Changed], s[verify.Missing], s[verify.Unreadable])
	}
}
