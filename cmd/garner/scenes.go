package main

import (
	"context"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/scenes"
)

// sceneFlags are what is to be changed.
type sceneFlags struct {
	begin, join, name []string
	who               string
}

func (s sceneFlags) changes() (all []scenes.Change) {
	for _, list := range []struct {
		verb  scenes.Verb
		whats []string
	}{{scenes.Begin, s.begin}, {scenes.Join, s.join}, {scenes.Name, s.name}} {
		for _, what := range list.whats {
			all = append(all, scenes.Change{Verb: list.verb, What: what})
		}
	}
	return all
}

func scenesCommand(d desk) *cobra.Command {
	var f jobFlags
	var s sceneFlags
	c := &cobra.Command{
		Use:   "scenes JOB",
		Short: "List the scenes, name them, say where they begin",
		Long: `Lists the scenes of the job, or changes them: first where scenes begin, then which
go on from the one before, then names. A frame is named as in decide, a scene by
its number, its name or any of its frames. Every change can be undone in the
station or by decide, and holds when the job is prepared again.

Names that were given before, in whatever job, are offered by the shell's
completion and in the station. They are kept in garner/scenes.txt in the user's
folder for settings, and can be taken out there.

` + exitCodes,
		Example: `  garner scenes "Job 0613"
  garner scenes "Job 0613" --name 3=Church --name "A/IMG_0420=First dance"
  garner scenes "Job 0613" --begin A/IMG_0311 --join 5`,
		Args: oneJob,
		RunE: func(c *cobra.Command, args []string) error { return d.scenes(c.Context(), args[0], f, s) },
	}
	f.add(c, true)
	c.Flags().StringArrayVar(&s.name, "name", nil, "`SCENE=NAME` or FRAME=NAME: name a scene; nothing after the = takes a name back (repeatable)")
	c.Flags().StringArrayVar(&s.begin, "begin", nil, "`FRAME` with whose moment a scene begins (repeatable)")
	c.Flags().StringArrayVar(&s.join, "join", nil, "`SCENE` or FRAME whose scene goes on from the one before (repeatable)")
	c.Flags().StringVar(&s.who, "who", "", "`NAME` of the person who changes them (default: the system's user)")
	for flag, complete := range map[string]cobra.CompletionFunc{"name": completeName, "join": completeScene} {
		_ = c.RegisterFlagCompletionFunc(flag, complete) // only fails for a flag that is not there
	}
	return c
}

func (d desk) scenes(ctx context.Context, dir string, f jobFlags, s sceneFlags) error {
	changes := s.changes()
	if s.who == "" {
		s.who = d.who()
	}
	j, err := d.openPrepared(dir, f, job.Options{Who: s.who, Command: "scenes", ReadOnly: len(changes) == 0})
	if err != nil {
		return err
	}
	defer j.Close()
	if len(changes) > 0 {
		if err := d.changeScenes(ctx, dir, j, changes, s.who); err != nil {
			return err
		}
	}
	l, err := j.Load()
	if err != nil {
		return err
	}
	return d.showScenes(jobWords(dir, f), l, f.json)
}

func (d desk) changeScenes(ctx context.Context, dir string, j *job.Job, changes []scenes.Change, who string) error {
	claim, err := j.Claim()
	if err != nil {
		return claimHint(err)
	}
	defer claim.Release()
	if err := d.needFrames(ctx, j); err != nil {
		return err
	}
	session, err := j.Session()
	if err != nil {
		return err
	}
	done, err := scenes.Apply(j, session, changes, d.now, who)
	for _, c := range done {
		d.sayf("%s", c.Text)
		if c.Name != "" {
			d.rememberScene(c.Name)
		}
	}
	d.copyJournals(ctx, j)
	if err != nil {
		return hinted(err, "garner scenes "+shellWord(dir)+" lists the scenes")
	}
	return nil
}

// rememberScene offers a name for the next jobs. Without a folder for settings
// nothing is lost but that.
func (d desk) rememberScene(name string) {
	config, err := os.UserConfigDir()
	if err != nil {
		return
	}
	if err := job.RememberSceneName(config, name); err != nil {
		d.sayf("%s", cull.Plain(err.Error()))
	}
}

type jsonSceneRow struct {
	V      int       `json:"v"`
	Scene  jsonScene `json:"scene"`
	Named  bool      `json:"named"`
	First  cull.ID   `json:"first"`
	Frame  string    `json:"frame"` // name of the first
	Raw    string    `json:"raw,omitempty"`
	From   *string   `json:"from"` // corrected, local
	Until  *string   `json:"until"`
	Frames int       `json:"frames"`
	Kept   int       `json:"kept"`
	Open   int       `json:"open"`
	Bodies []string  `json:"bodies"`
}

func (d desk) showScenes(words string, l job.Loaded, json bool) error {
	rows := scenes.List(l)
	for _, r := range rows {
		first := l.Session.Name(r.First)
		if json {
			o := jsonSceneRow{V: 1, Scene: jsonScene{r.ID, r.Name}, Named: r.Named, First: r.First, Frame: first, Raw: rawName(first),
				Frames: r.Frames, Kept: r.Kept, Open: r.Open, Bodies: append([]string{}, r.Bodies...)}
			if !r.From.IsZero() {
				o.From, o.Until = known(r.From.Format("2006-01-02T15:04:05")), known(r.Until.Format("2006-01-02T15:04:05"))
			}
			if err := d.object(o); err != nil {
				return err
			}
			continue
		}
		name := ""
		if r.Named {
			name = " " + cull.Plain(r.Name)
		}
		span := "no time"
		if !r.From.IsZero() {
			span = r.From.Format("2006-01-02 15:04") + " to " + r.Until.Format("15:04")
		}
		d.sayf("%s%s: %s, %s from %s on, %d kept, %d open, bodies %s", cull.SceneNumber(r.ID), name, span, count(r.Frames, "frame"),
			cull.Plain(first), r.Kept, r.Open, orDash(strings.Join(r.Bodies, " ")))
	}
	if len(rows) == 0 && !json {
		d.sayf("the job has no scenes yet; next: garner prepare %s", words)
	}
	return nil
}

// completeName offers scenes before the = and names that were given before after it.
func completeName(c *cobra.Command, args []string, typed string) ([]cobra.Completion, cobra.ShellCompDirective) {
	i := strings.LastIndexByte(typed, '=')
	if i < 0 {
		list, _ := completeScene(c, args, typed)
		for k := range list {
			number, about, _ := strings.Cut(list[k], "\t")
			list[k] = number + "=\t" + about
		}
		return list, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
	}
	config, err := os.UserConfigDir()
	if err != nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	var list []cobra.Completion
	for _, name := range job.UsedSceneNames(config) {
		if strings.HasPrefix(strings.ToLower(name), strings.ToLower(typed[i+1:])) {
			list = append(list, typed[:i+1]+name)
		}
	}
	return list, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveKeepOrder
}

// completeScene offers the numbers of the job's scenes, with their names beside.
func completeScene(c *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
	if len(args) != 1 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	state, _ := c.Flags().GetString("state")
	j, err := job.Open(args[0], job.Options{Command: "scenes", ReadOnly: true, State: state})
	if err != nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	defer j.Close()
	l, err := j.Layout()
	if err != nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	var list []cobra.Completion
	for i, s := range l.Scenes {
		about := cull.Plain(s.Name)
		for _, p := range l.Places {
			if p.Frame == s.First && p.Corrected.Known() {
				about += ", " + p.Corrected.Wall.Format("15:04")
			}
		}
		list = append(list, cull.SceneNumber(i)+"\t"+about)
	}
	return list, cobra.ShellCompDirectiveNoFileComp
}
