package main

import (
	"context"
	"fmt"
	"time"

	"garner/cull"
	"garner/cull/people"
	"garner/cull/recall"
	"garner/cull/recall/faces"
)

// pickedFace is the face that is looked for.
type pickedFace struct {
	reader *faces.Reader
	file   string
	which  int // from 0, from the left
}

// pickFace finds the face in a picture that is meant, and lists those that may be.
// Nothing is described yet.
func (d desk) pickFace(ctx context.Context, file string, which int) (pickedFace, error) {
	p := pickedFace{faces.NewReader(), file, which - 1}
	list, err := p.reader.Look(ctx, file, false)
	if err != nil {
		return p, fmt.Errorf("%s cannot be looked at: %w", file, err)
	}
	switch {
	case len(list) == 0:
		return p, fmt.Errorf("%s shows no face", file)
	case which > len(list):
		return p, &usageError{fmt.Sprintf("--which %d: %s shows %s", which, file, count(len(list), "face"))}
	case which == 0 && len(list) > 1:
		for i, f := range list {
			d.sayf("%4d  %s, %d px wide", i+1, whereAbouts(f.At), f.Width)
		}
		return p, &usageError{fmt.Sprintf("%s shows %s, listed from the left: --which N says which one is meant", file, count(len(list), "face"))}
	case which == 0:
		p.which = 0
	}
	return p, nil
}

// whereAbouts says where in a picture a face is.
func whereAbouts(r cull.Region) string {
	third := func(at float64, words [3]string) string { return words[min(max(int(3*at), 0), 2)] }
	across := third(r.X+r.W/2, [3]string{"at the left", "in the middle", "at the right"})
	down := third(r.Y+r.H/2, [3]string{", above", "", ", below"})
	return across + down
}

// describe makes the template; it has to be forgotten.
func (p pickedFace) describe(ctx context.Context) (*people.Template, error) {
	list, err := p.reader.Look(ctx, p.file, true)
	if err != nil {
		return nil, fmt.Errorf("%s cannot be looked at: %w", p.file, err)
	}
	var about *people.Template
	for i := range list {
		if i == p.which && list[i].About != nil {
			about = new(people.Template)
			*about = *list[i].About
		}
		list[i].Forget()
	}
	if about == nil {
		return nil, fmt.Errorf("the face in %s is too small or too unclear to be looked for: it wants 40 pixels across, seen from the front", p.file)
	}
	return about, nil
}

// faceNotice is what has to be known before a face is looked for.
func faceNotice(s *recall.FaceSearch) []string {
	return []string{
		"looking for a face describes every face in " + count(s.Frames, "frame") + " by a template, which is biometric data in the law of many countries",
		askThose,
		"templates made here are for this one question: they stay in memory, nothing of them is written, and garner gives nobody a name",
	}
}

// findFace asks, and looks for the face among the frames that the query leaves.
func (d desk) findFace(ctx context.Context, l *recall.Library, f recallFlags) (recall.FaceFound, error) {
	picked, err := d.pickFace(ctx, f.face, f.which)
	if err != nil {
		return recall.FaceFound{}, err
	}
	s, err := l.FaceSearch(ctx, f.q)
	if err != nil {
		return recall.FaceFound{}, err
	}
	for _, r := range s.Refused {
		d.sayf("%s is left out: %s", cull.Plain(r.Dir), r.Err)
	}
	if s.Frames == 0 {
		return recall.FaceFound{Refused: s.Refused}, nil
	}
	if err := d.askAgreed(faceNotice(s), "--face", f.agreed); err != nil {
		return recall.FaceFound{}, err
	}
	about, err := picked.describe(ctx)
	if err != nil {
		return recall.FaceFound{}, err
	}
	defer func() { *about = people.Template{} }()
	start := d.now()
	found, err := s.Find(ctx, about, func(done, total int) {
		rate := ""
		if took := d.now().Sub(start); took > 0 && done > 0 {
			rate = ", " + left(took/time.Duration(done)*time.Duration(total-done))
		}
		d.progressf("looking at faces: %d of %d frames%s", done, total, rate)
	})
	if err != nil {
		return found, err
	}
	const most = 6
	for i, u := range found.Unseen {
		if i == most {
			d.sayf("not looked at: %d more", len(found.Unseen)-most)
			break
		}
		d.sayf("%s of %s: not looked at: %s", cull.Plain(u.Hit.Name), cull.Plain(u.Hit.Job), cull.Plain(u.Err.Error()))
	}
	return found, nil
}

// faceText is the likeness of faces in words.
func faceText(f *recall.FaceAt) string {
	if f.Distance <= people.Cut {
		return fmt.Sprintf("a face like it (%.2f)", f.Distance)
	}
	return fmt.Sprintf("maybe a face like it (%.2f)", f.Distance)
}
