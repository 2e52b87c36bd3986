package main

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"garner/cull"
	"garner/cull/clocks/match"
	"garner/cull/closing"
	"garner/cull/closing/free"
	"garner/cull/job"
	"garner/cull/output"
	"garner/cull/way"
)

func statusCommand(d desk) *cobra.Command {
	var f jobFlags
	var page bool
	var drawing string
	c := &cobra.Command{
		Use:     "status JOB",
		Short:   "Where the job stands and what comes next",
		Long:    "Shows in one screen what the job holds, how far each pass has come, what could not\nbe shown, which cards may be formatted, which frames or cards seem to be missing,\nhow far it has come on its way from the cards to the disk that is free again, and\nthe next command. It works beside a running prepare or decide.\n\nWith --review it shows what is worth a look before the job is handed over: scenes and\nmoments of which nothing was kept, pictures that the job must have (must_have in\ngarner.toml) and lacks, frames that were dropped and never shown, are open or could\nnot be shown; and what was kept by scene, hour and body. With --timeline it draws the day.\n\n" + exitCodes,
		Example: "  garner status \"Job 0613\"\n  garner status \"Job 0613\" --review\n  garner status \"Job 0613\" --timeline day.svg\n  garner status \"Job 0613\" --json",
		Args: func(c *cobra.Command, args []string) error {
			args, err := timelineArgs(args, &drawing)
			if err != nil {
				return err
			}
			if page && drawing != "" {
				return &usageError{"--review and --timeline are two pages; ask for one"}
			}
			return oneJob(c, args)
		},
		RunE: func(c *cobra.Command, args []string) error {
			args = slices.DeleteFunc(args, func(a string) bool { return len(args) > 1 && a == drawing })
			j, err := d.open(args[0], f, job.Options{Command: "status", ReadOnly: true})
			if err != nil {
				return err
			}
			defer j.Close()
			if page {
				return d.review(args[0], f, j)
			}
			if drawing != "" {
				return d.timeline(j, jobWords(args[0], f), drawing)
			}
			s, err := j.Status()
			if err != nil {
				return err
			}
			sets, err := output.Stands(c.Context(), j)
			if err != nil {
				d.sayf("  the sets: %s", cull.Plain(err.Error()))
			}
			bags, err := closing.Stands(c.Context(), j, func(done, total int) { d.progressf("looking at files: %d of %d", done, total) })
			if err != nil {
				d.sayf("  the archive: %s", cull.Plain(err.Error()))
			}
			aside, err := free.Aside(j)
			if err != nil {
				return err
			}
			b := way.Bags{Standing: bags, Freeing: freeable(c.Context(), j, bags)}
			if f.json {
				o := statusObject(s)
				o.Finished, o.ToRender, o.Sets = sets.Finished, sets.Waiting, sets.Sets
				o.Archived, o.Aside = archivedObject(bags), orEmpty(aside)
				o.Way, o.Next = wayObject(way.Of(s, sets, &b)), way.Next(way.Words{Job: jobWords(args[0], f), Quote: shellWord}, s, sets, &b)
				return d.object(o)
			}
			d.showStatus(jobWords(args[0], f), j, s, sets, b, aside)
			return nil
		},
	}
	f.add(c, true)
	c.Flags().BoolVar(&page, "review", false, "show what is worth a look before handoff")
	timelineFlag(c, &drawing)
	return c
}

func (d desk) showStatus(dir string, j *job.Job, s job.Status, sets output.Standing, bags way.Bags, aside []string) {
	d.sayf("%s: %s from %s in %s and %s", cull.Plain(filepath.Base(j.Root())), count(s.Frames-s.Gone, "frame"), count(len(s.Bodies), "body"), count(s.Moments, "moment"), count(s.Scenes, "scene"))
	if !s.First.IsZero() {
		d.sayf("  taken %s to %s", s.First.Format("2006-01-02 15:04"), s.Last.Format("2006-01-02 15:04"))
	}
	for _, b := range s.Bodies {
		d.sayf("  body %-2s %s, %s%s", orDash(b.Letter), bodyName(b.Body), count(b.Frames, "frame"), clockText(b.Body))
	}
	if s.Unknown > 0 {
		d.sayf("  %s of unknown bodies", count(s.Unknown, "frame"))
	}
	for _, p := range s.Passes {
		question := p.Pass.Name
		if p.Pass.Question != "" {
			question += " (" + cull.Plain(p.Pass.Question) + ")"
		}
		yes, no := p.Pass.Name == cull.KeepPass, "no"
		word := "yes"
		if yes {
			word, no = "kept", "dropped"
		}
		part := ""
		if p.Part > 0 {
			part = fmt.Sprintf(", %d part", p.Part)
		}
		d.sayf("  pass %s: %d %s, %d %s%s, %d open", question, p.Yes, word, p.No, no, part, p.Open)
	}
	d.showMeasured(s)
	d.showCards(s)
	d.showGaps(s)
	if len(aside) > 0 {
		d.sayf("  not deleted, since archive --free was interrupted: %s; the next command that writes, such as garner prepare %s, gives it its name back", some(aside), dir)
	}
	d.showSets(sets)
	d.showArchived(bags.Standing)
	if f := bags.Freeing; f != nil && !f.Waiting && f.Go < bags.Small {
		d.sayf("  not to be freed as it is: %s of dropped frames (garner archive %s --free --dry-run says why)", count(bags.Small-f.Go, "original"), dir)
	}
	d.showWay(dir, s, sets, &bags)
}

// showWay says how far the job has come, and what leads on.
func (d desk) showWay(words string, s job.Status, sets output.Standing, bags *way.Bags) {
	lines := wayLines(words, s, sets, bags)
	for i, line := range lines {
		if i < len(lines)-1 {
			line = "  " + line
		}
		d.sayf("%s", line)
	}
}

// wayLines are the lines of showWay, the next step last.
func wayLines(words string, s job.Status, sets output.Standing, bags *way.Bags) []string {
	lines := []string{"way: " + way.Of(s, sets, bags).Line()}
	if way.AtTheEditor(s, sets) {
		lines = append(lines, fmt.Sprintf("waiting for the editor's pictures: put them into the folder %s of the job, in folders as you like", output.FinishedFolder))
	}
	return append(lines, "next: "+way.Next(way.Words{Job: words, Quote: shellWord}, s, sets, bags))
}

// stands is where a job stands as the station says it; nil where that cannot be found out.
func stands(ctx context.Context, j *job.Job, words string) []string {
	s, err := j.Status()
	if err != nil {
		return nil
	}
	sets, err := output.Stands(ctx, j)
	if err != nil {
		return nil
	}
	bags, err := closing.Stands(ctx, j, nil)
	if err != nil {
		return nil
	}
	return wayLines(words, s, sets, &way.Bags{Standing: bags, Freeing: freeable(ctx, j, bags)})
}

// freeable looks which originals may be freed, where that is what the job waits for.
func freeable(ctx context.Context, j *job.Job, bags closing.Standing) *way.Freeing {
	if bags.Small == 0 || !way.Archived(bags) {
		return nil
	}
	work, err := free.Look(ctx, j, free.Options{DryRun: true})
	if err != nil {
		return nil // --free says it in full
	}
	return &way.Freeing{Go: len(work.Go), Waiting: work.Refused() != nil}
}

// showGaps says what a person has to know before going on.
func (d desk) showGaps(s job.Status) {
	const most = 6
	for _, f := range s.NotShowable[:min(len(s.NotShowable), most)] {
		why := ""
		if len(f.Problems) > 0 {
			why = ": " + cull.Plain(f.Problems[0].Text)
		}
		d.sayf("  could not be shown: %s%s", cull.Plain(f.Name), why)
	}
	if more := len(s.NotShowable) - most; more > 0 {
		d.sayf("  could not be shown: %d more (prepare --json says why)", more)
	}
	if s.NoTime > 0 {
		d.sayf("  without a capture time: %s, sorted after the others", count(s.NoTime, "frame"))
	}
	if s.Gone > 0 {
		d.sayf("  no longer in the folder: %s; their decisions are kept", count(s.Gone, "frame"))
	}
	if s.Freed > 0 {
		d.sayf("  freed: the originals of %s; their small pictures are kept", count(s.Freed, "frame"))
	}
	if s.Pictured > 0 {
		d.sayf("  not here: the originals of %s, of which the bag that this job was opened from has the small pictures", count(s.Pictured, "frame"))
	}
	if s.Others > 0 {
		d.sayf("  not part of any frame: %s (prepare --json lists them)", count(s.Others, "file"))
	}
	for _, sc := range s.ScenesKept {
		if sc.Open == 0 && sc.Kept == 0 && sc.Frames > 0 {
			d.sayf("  scene %s: every frame is dropped", cull.Plain(sc.Scene.Name))
		}
	}
	if s.InManifest == 0 {
		d.sayf("  no sums are recorded: later damage could not be seen (verify --record)")
	}
	if s.Owner != "" {
		d.sayf("  being decided on by %s", cull.Plain(s.Owner))
	}
}

// jobWords is the job as it stands in a hint: its folder and where it keeps its
// state.
func jobWords(dir string, f jobFlags) string {
	words := shellWord(dir)
	if f.state != "" {
		words += " --state " + shellWord(f.state)
	}
	return words
}

func bodyName(b cull.Body) string {
	name := strings.TrimSpace(b.Model)
	if name == "" {
		name = "unknown model"
	}
	if b.Serial != "" {
		name += " no. " + b.Serial
	}
	if b.Photographer != "" {
		name += " (" + b.Photographer + ")"
	}
	return cull.Plain(name)
}

func clockText(b cull.Body) string {
	var parts []string
	for _, o := range b.Offsets {
		text := match.Signed(o.Add)
		if o.Zone != nil {
			text += ", zone " + cull.ZoneText(*o.Zone)
		}
		if !o.From.IsZero() {
			text += " from " + o.From.Format("2006-01-02 15:04:05")
		}
		parts = append(parts, text)
	}
	if len(parts) == 0 {
		return ""
	}
	return ", clock corrected by " + strings.Join(parts, ", ")
}

func orDash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}

// count is "1 frame", "2 frames", "2 bodies".
func count(n int, noun string) string {
	switch {
	case n == 1:
		return "1 " + noun
	case strings.HasSuffix(noun, "y"):
		return fmt.Sprintf("%d %sies", n, strings.TrimSuffix(noun, "y"))
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// some lists the first few names, and how many more there are.
func some(names []string) string {
	const most = 6
	var shown []string
	for _, n := range names[:min(len(names), most)] {
		shown = append(shown, cull.Plain(n))
	}
	text := strings.Join(shown, ", ")
	if more := len(names) - len(shown); more > 0 {
		text += fmt.Sprintf(" and %d more", more)
	}
	return text
}
