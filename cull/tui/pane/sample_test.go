package pane_test

import (
	"image"
	"slices"
	"time"

	"garner/cull"
	"garner/cull/tui/pane"
)

// The sample is one moment of a wedding's culling: 3,120 frames, a third of the
// way through.

func sampleTop() pane.Top {
	return pane.Top{
		Pass: "keep", Name: "A/IMG_0412", Answer: cull.Open, Facts: []string{"14:02:11", "1/250 s", "f/2.8", "ISO 1600", "85 mm", "+0.3 EV"},
		Body: "A", Scene: "03 church", Position: 412, Total: 3120, Marks: []string{"camera rating 3"},
	}
}

func sampleLadder(kind cull.MomentKind, n int) pane.Ladder {
	l := pane.Ladder{Kind: kind}
	for i := range n {
		r := pane.Rung{
			Name: "A/IMG_04" + string(rune('0'+i/10%10)) + string(rune('0'+i%10)), Body: "A",
			After: time.Duration(i) * 142 * time.Millisecond, Seen: i < 5,
		}
		switch i {
		case 0, 1:
			r.Answer, r.Explicit = cull.No, i == 0
		case 2:
			r.Answer, r.Explicit = cull.Yes, true
		case 3:
			r.Here = true
		case 5:
			r.Answer = cull.No
		case 6:
			r.Broken = true
		case 8:
			r.Answer = cull.Yes
		}
		l.Rungs = append(l.Rungs, r)
	}
	return l
}

// sampleMarked is a burst that was measured.
func sampleMarked(n int) pane.Ladder {
	l := sampleLadder(cull.Burst, n)
	sharpest := pane.Mark{Forms: []string{"sharpest", "^"}}
	soft := pane.Mark{Forms: []string{"soft", "~"}, Look: true}
	closed := pane.Mark{Forms: []string{"eyes closed 2", "closed 2", "x2"}, Look: true}
	check := pane.Mark{Forms: []string{"eyes: look", "eyes?", "x?"}, Look: true}
	for i, m := range [][]pane.Mark{0: {soft}, 1: {check}, 3: {sharpest, closed}, 4: {closed}, 6: {soft, check}, 8: nil} {
		if i < n {
			l.Rungs[i].Marks = m
		}
	}
	l.Why = "too close to call: 3 frames are as sharp as one another"
	return l
}

func sampleRibbon() pane.Ribbon {
	var r pane.Ribbon
	sizes := []int{220, 96, 412, 180, 310, 640, 75, 520, 410, 257}
	for i, n := range sizes {
		s := pane.Span{Name: "0" + string(rune('1'+i)), Frames: make([]cull.Answer, n), Here: -1}
		for k := range s.Frames {
			switch {
			case i < 2 || i == 2 && k < 240:
				s.Frames[k] = cull.No
				// Some stretches give more keepers than others.
				if (k*k/97+k)%(3+k/17%9) == 0 {
					s.Frames[k] = cull.Yes
				}
				if i == 1 && k >= 40 && k < 60 {
					s.Frames[k] = cull.Open
				}
			case i == 3:
				s.Frames[k] = cull.Answer(k / 61 % 4)
			}
		}
		if i == 2 {
			s.Here = 240
		}
		r.Scenes = append(r.Scenes, s)
	}
	return r
}

func samplePace() pane.Pace {
	return pane.Pace{
		Scene: "03 church", SceneDone: 240, SceneAll: 412, Kept: 124, Projected: 610, Goal: 600,
		PerMinute: 31.2, Left: 72 * time.Minute, Open: 2708, All: 3120,
	}
}

func sampleFacts() pane.Facts {
	return pane.Facts{
		Title: "A/IMG_0412",
		Groups: [][]pane.Fact{
			{{"taken", "2026-06-13 14:02:11.13 +02:00"}, {"corrected", "14:09:31, body B's clock + 7 min 20 s"}, {"body", "A, Canon EOS R6, 032021001234"}},
			{{"exposure", "1/250 s  f/2.8  ISO 1600  +0.3 EV"}, {"lens", "RF85mm F1.2 L USM at 85 mm"}, {"flash", "did not fire"}},
			{{"files", "A/IMG_0412.CR3 24.3 MB, A/IMG_0412.JPG 6.1 MB, A/IMG_0412.WAV 312 kB"}, {"pictures", "6000 x 4000, 1620 x 1080, 160 x 120"}},
			{{"moment", "burst of 9, frame 4"}, {"scene", "03 church"}, {"answer", "open"}},
		},
		Problems: []string{"the largest picture inside is cut off after 2.1 of 6.3 MB; a smaller one is shown"},
	}
}

func sampleHelp() pane.Help {
	return pane.Help{
		Title: "Keys in pass keep",
		Groups: []pane.HelpGroup{
			{"decide", []pane.KeyLine{
				{[]string{"k"}, "keep, and on to the next open frame", ""},
				{[]string{"d"}, "drop, and on to the next open frame", ""},
				{[]string{"w k", "w d"}, "keep or drop the whole burst", ""},
				{[]string{"o"}, "only this one: keep it, drop the open rest of its burst", "no burst here"},
				{[]string{"u"}, "undo, without end", ""},
				{[]string{"r"}, "redo", "nothing was undone"},
			}},
			{"walk", []pane.KeyLine{
				{[]string{"←", "→"}, "from moment to moment", ""},
				{[]string{"↑", "↓"}, "along the ladder", ""},
				{[]string{"n"}, "next open frame", ""},
				{[]string{"PgUp", "PgDn"}, "previous and next scene", ""},
				{[]string{":"}, "go to a number, name, time or scene", ""},
			}},
			{"look", []pane.KeyLine{
				{[]string{"Space"}, "loupe and back", "half blocks cannot judge focus"},
				{[]string{"f"}, "fan: all frames of the moment", ""},
				{[]string{"t"}, "turn the view", ""},
				{[]string{"i"}, "facts and evidence", ""},
			}},
			{"else", []pane.KeyLine{
				{[]string{"Tab"}, "the next pass's question", ""},
				{[]string{"?"}, "these keys", ""},
				{[]string{"q"}, "leave; nothing is left to save", ""},
			}},
		},
		Foot: pane.Legend("keep"),
	}
}

func sampleGoto() pane.Goto {
	return pane.Goto{
		Text: "IMG_04", Cursor: 6, Selected: 1, Hint: "a number, a name, a time or a scene",
		Matches: []pane.Match{{"A/IMG_0400", "14:01:52, scene 03 church"}, {"A/IMG_0401", "14:01:53, scene 03 church"}, {"B/IMG_0400", "11:20:07, scene 01"}, {"04", "scene, 180 frames"}},
	}
}

func sampleAlike(n int) []pane.Alike {
	var list []pane.Alike
	for i := range n {
		a := pane.Alike{Name: "A/IMG_042" + string(rune('0'+i%10)), Body: "A", Kind: cull.Single, Counts: cull.Counts{Open: 1}, After: time.Duration(i+1) * 14 * time.Second}
		switch i {
		case 0:
			a.Kind, a.Counts = cull.Burst, cull.Counts{Yes: 1, No: 3}
		case 1:
			a.Name, a.Body, a.After = "B/IMG_0417", "B", -3*time.Second
		case 2:
			a.Kind, a.Series, a.Counts = cull.Series, cull.Bracket, cull.Counts{No: 5}
		}
		list = append(list, a)
	}
	return list
}

func sampleNaming() pane.Goto {
	return pane.Goto{Prompt: "scene 04 is", Text: "Ch", Cursor: 2, Selected: 0, Hint: "Tab completes, Enter keeps, Esc leaves it",
		Matches: []pane.Match{{Name: "Church", What: "scene 02 of this job"}, {Name: "Champagne", What: "named so before"}}}
}

func sampleReview() pane.Review {
	return pane.Review{
		Title: "before handoff: 6 things to look at", Selected: 2, Hint: "Enter shows the frames of a line, Esc goes back",
		Stands: []string{"way: offloaded, prepared; partly decided: 2,708 of 3,120 open; to come: handed off, finished, rendered, archived, freed", "next: garner cull \"Job 0613\""},
		Lines: []pane.ReviewLine{
			{"nothing kept of scene 02 Church, 96 frames", false}, {"nothing kept of a burst of 14 in scene 05 Dinner, from A/IMG_2034 on", false},
			{"must have Rings: no scene is named Rings", true}, {"dropped and never shown: 41 frames", false},
			{"not decided yet: 2,708 frames", false}, {"could not be shown: 2 frames", false}},
		Tables: []pane.ShareTable{
			{"scene", []pane.Share{{"01", 24, 220, 42}, {"02 Church", 0, 96, 18}, {"03", 100, 412, 79}, {"04 The mothers, and then the fathers", 0, 180, 34}, {"05 Dinner", 0, 2212, 425}}},
			{"hour", []pane.Share{{"13:00", 24, 316, 61}, {"14:00", 100, 412, 79}, {"15:00", 0, 2392, 460}}},
			{"body", []pane.Share{{"A Anna", 90, 1904, 366}, {"B", 34, 1216, 234}}},
		},
	}
}

func sampleMessage() pane.Message {
	return pane.Message{Title: "A/IMG_0412 cannot be shown", Lines: []string{
		"There is no picture inside A/IMG_0412.CR3 that can be read: the file ends after 1.2 of 24.3 MB.",
		"It stays open until you decide."}}
}

func sampleQuestion() pane.Question {
	return pane.Question{Title: "The job's folder is gone", Text: []string{
		"/media/jobs/0613 cannot be written to: no such device. What you decided up to A/IMG_0411 is on the disk; the last key is not."},
		Keys: []pane.KeyLine{{[]string{"a"}, "try again", ""}, {[]string{"q"}, "leave", ""}}}
}

// sampleScreen puts all panes where the station has them; dots stand for the
// picture.
func sampleScreen(st *pane.Styles, w, h int) []string {
	const ladder = 26
	lines := sampleTop().Lines(st, w, false)
	rungs := sampleLadder(cull.Burst, 9).Lines(st, ladder, h-3)
	picture := sampleMessage().Block(st, w-ladder-1, h-3)
	for i := range rungs {
		lines = append(lines, picture[i]+" "+rungs[i])
	}
	lines = append(lines, sampleRibbon().Line(st, w))
	return append(lines, pane.Bottom(st, pane.Notice{Text: "6 dropped, 2 of them never shown", Undo: true}, samplePace(), w))
}

// sampleParts are all panes in their usual states, by name.
func sampleParts(st *pane.Styles, w, h int) []section {
	top := sampleTop()
	kept := top
	kept.Answer, kept.Explicit, kept.Waiting, kept.Pending = cull.Yes, true, true, "w: whole burst"
	dropped := top
	dropped.Answer = cull.No
	later := top
	later.Pass, later.Question, later.Answer, later.Position, later.Total, later.Marks = "retouch", "Does this one get retouched?", cull.Yes, 12, 96, nil
	waiting := later
	waiting.Waiting = true
	hatched := top
	hatched.Hatching, hatched.Hatched, hatched.Seen = `/// \\\`, "clipped, black in preview", []pane.Mark{{Forms: []string{"soft", "~"}, Look: true}, {Forms: []string{"eyes closed 1", "closed 1", "x1"}, Look: true}}
	size := image.Pt(1620, 1080)
	near := func(l pane.Loupe, of pane.Top) []string {
		of.Loupe = &l
		return of.Lines(st, w, false)
	}
	part := image.Rect(100, 500, 900, 1060)
	loupes := slices.Concat(
		near(pane.Loupe{Part: part, Size: size, Sensor: image.Pt(6000, 4000), From: "camera"}, top),
		near(pane.Loupe{Part: part, Size: image.Pt(6000, 4000), Sensor: image.Pt(6000, 4000), From: "sharpest"}, top),
		near(pane.Loupe{Part: image.Rect(300, 0, 900, 560), Size: image.Pt(1080, 1620), Sensor: image.Pt(4000, 6000)}, kept),
		near(pane.Loupe{Part: image.Rectangle{Max: size}, Size: size, From: "centre"}, later),
		near(pane.Loupe{}, top),
		near(pane.Loupe{Part: part, Size: image.Pt(6000, 4000), Sensor: image.Pt(6000, 4000), From: "face", Face: "face 2 of 5, eyes closed or lowered (0.07)"}, top),
		near(pane.Loupe{Why: "cannot open: no such file or directory"}, top))
	series := sampleLadder(cull.Series, 40)
	for i := range series.Rungs {
		series.Rungs[i].Here = i == 20
	}
	two := sampleLadder(cull.Burst, 7)
	two.Rungs[4].Name, two.Rungs[4].Body = "B2/Day one/IMG_0399", "B"
	alike := sampleLadder(cull.Burst, 4)
	alike.Alike = sampleAlike(3)
	lone := sampleLadder(cull.Single, 4)
	lone.Rungs, lone.Alike = lone.Rungs[3:], sampleAlike(9)
	bracket := sampleLadder(cull.Series, 5)
	bracket.Series = cull.Bracket
	only := top
	only.Only, only.OnlyAt, only.OnlyOf, only.Alike = "dropped, never shown", 3, 41, 5
	merge := top
	merge.Merge, merge.Alike = true, 2
	empty := sampleReview()
	empty.Title, empty.Lines = "before handoff", nil
	filling := samplePace()
	filling.Preparing, filling.Arrived, filling.PerMinute, filling.Left = "preparing 412 of 3,120", 4, 0, 0
	done := samplePace()
	done.Open, done.Kept = 0, 612
	asleep := sampleQuestion()
	asleep.Sleeping = true
	no := pane.Notice{Text: "no: A/IMG_0412 is not on the screen yet", Kind: pane.Refused}
	fault := pane.Notice{Text: "the journal cannot be written: no space left on the device", Kind: pane.Fault}
	beside := min(w, 26)
	return []section{
		{"top", slices.Concat(top.Lines(st, w, true), kept.Lines(st, w, true), dropped.Lines(st, w, false))},
		{"top of a later pass, tall", slices.Concat(later.Lines(st, w, true), waiting.Lines(st, w, true))},
		{"top of a later pass", later.Lines(st, w, false)},
		{"top in the loupe", loupes},
		{"top of a frame that was measured and is hatched", hatched.Lines(st, w, false)},
		{"ladder", sampleLadder(cull.Burst, 9).Lines(st, beside, 14)},
		{"ladder that was measured", slices.Concat(sampleMarked(9).Lines(st, beside, 16), sampleMarked(9).Lines(st, 20, 14), sampleMarked(9).Lines(st, 30, 11), sampleMarked(4).Lines(st, 20, 7))},
		{"ladder of a long series", series.Lines(st, beside, 12)},
		{"ladder with look-alikes", slices.Concat(alike.Lines(st, beside, 16), alike.Lines(st, min(w, 20), 11))},
		{"ladder of a lone frame with look-alikes", lone.Lines(st, beside, 14)},
		{"ladder of a bracket", bracket.Lines(st, beside, 9)},
		{"top of a series, and of a part that alone is walked", slices.Concat(merge.Lines(st, w, true), only.Lines(st, w, true))},
		{"ladder of two bodies", two.Lines(st, min(w, 34), 11)},
		{"ribbon", []string{sampleRibbon().Line(st, w)}},
		{"bottom", []string{samplePace().Line(st, w), filling.Line(st, w), done.Line(st, w),
			pane.Bottom(st, pane.Notice{Text: "6 dropped, 2 of them never shown", Undo: true}, samplePace(), w),
			pane.Bottom(st, no, samplePace(), w), pane.Bottom(st, fault, filling, w)}},
		{"facts", sampleFacts().Lines(st, w, h-4)},
		{"help", sampleHelp().Lines(st, w, h)},
		{"go to", sampleGoto().Lines(st, w, 6)},
		{"naming", sampleNaming().Lines(st, w, 6)},
		{"asking about faces", pane.Goto{Prompt: "look for faces?", Selected: -1, Matches: []pane.Match{{Name: "yes", What: "look for them"}, {Name: "no", What: "remove what was found"}},
			Hint: "type yes or no", Notes: []string{"Faces are personal data: the law where you work says whether you may."}}.Lines(st, min(w, 40), 9)},
		{"review", slices.Concat(sampleReview().Rows(st, w, h), empty.Rows(st, w, 14))},
		{"trial of a set", sampleTrials(st, w)},
		{"a picture to be tied", sampleTyings(st, w)},
		{"message", sampleMessage().Block(st, w, 9)},
		{"question", slices.Concat(sampleQuestion().Lines(st, w, 9), asleep.Lines(st, w, 8))},
	}
}

// sampleTrials are pictures as sets would have them: as they are, close, being cut, with
// what is cut away, and refused.
func sampleTrials(st *pane.Styles, w int) []string {
	t := pane.Trial{Set: "online", SetAt: 2, SetsAll: 4, Picture: "day one/VRNH0412-2.jpg", At: 12, Total: 603, File: "0012-VRNH0412-2.jpg", Number: 12,
		Facts: []string{"2048x1365", "412 kB", "stamped", "quality 85", "sRGB", "300 ppi", "from 6000x4000"}, Hint: "←→ pictures   ↑↓ sets   ? keys"}
	near, cutting, away := t, t, t
	near.Loupe = &pane.Loupe{Part: image.Rect(1248, 800, 2048, 1365), Size: image.Pt(2048, 1365), From: "the stamp"}
	cutting.File, cutting.NoName, cutting.Facts, cutting.Cutting = "", "its name is being worked out", nil, true
	away.Set, away.Seen, away.Remarks = "album", "what is cut away", []string{"has fewer pixels than the set asks for: 1600 by 1600"}
	away.Notice = pane.Notice{Text: "this is the last picture", Kind: pane.Refused}
	var lines []string
	for _, t := range []pane.Trial{t, near, cutting, away} {
		lines = append(append(lines, t.Top(st, w)...), t.Bottom(st, w))
	}
	return lines
}

// sampleTyings are pictures that wait for their frames: as it is, with two picked, and one
// that was said something of.
func sampleTyings(st *pane.Styles, w int) []string {
	open := pane.Tying{Picture: "day one/final 0412.tif", At: 3, Total: 17, Left: 15, Why: []string{"it was taken when A/IMG_0412 was", "but it looks like A/IMG_0398"},
		Hint: "Enter this frame   0 no frame   m pick   n skip"}
	picked, done := open, open
	picked.Picked = []string{"A/IMG_0412", "A/IMG_0413"}
	done.Done, done.Waiting, done.Notice = "shows A/IMG_0412", true, pane.Notice{Text: "final 0412.tif shows A/IMG_0412", Undo: true}
	var lines []string
	for _, t := range []pane.Tying{open, picked, done} {
		lines = append(append(lines, t.Top(st, w)...), t.Bottom(st, w))
	}
	f := pane.Fan{Title: "frames that it may show, the nearest first", Whole: true, From: 1, Total: 5}
	for i := range 2 {
		t := pane.Tile{Rung: sampleLadder(cull.Burst, 4).Rungs[i+2], Col: 1 + i*32, Row: 1, Cols: 31, Rows: 4, Picture: true, At: time.Date(2026, 6, 13, 14, 2, 11+i, 0, time.UTC)}
		if i == 1 {
			t.Marks = []pane.Mark{{Forms: []string{"picked 1", "1"}, Look: true}}
		}
		f.Tiles = append(f.Tiles, t)
	}
	return append(lines, f.Lines(st, w, 7)...)
}

type section struct {
	name  string
	lines []string
}
