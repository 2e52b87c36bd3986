package station

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"garner/cull/job"
	"garner/cull/review"
)

// Review looks at what may be missing before handoff, as things stand.
func (d *Desk) Review() review.Page {
	settings := d.job.Settings()
	in := review.Input{Session: d.session, Frames: d.frames, Goal: d.o.Goal, Has: d.has}
	for _, b := range d.bodies {
		b.Photographer = settings.Photographer(b)
		in.Bodies = append(in.Bodies, b)
	}
	slices.SortFunc(in.Bodies, job.ByLetter)
	for _, m := range settings.MustHave {
		in.Musts = append(in.Musts, review.Wanted(m))
	}
	return review.Make(in)
}

// ShowLine lets the frames of a line of the review be walked alone.
func (d *Desk) ShowLine(l review.Line) bool { return d.ShowOnly(LineName(l), l.Frames) }

// LineName is what the frames of a line are called while they are walked: how many
// they are is said beside it.
func LineName(l review.Line) string {
	if i := strings.LastIndex(l.Text, ": "); i > 0 && i+2 < len(l.Text) && l.Text[i+2] >= '0' && l.Text[i+2] <= '9' {
		return l.Text[:i]
	}
	return l.Text
}

// ErrNoSuchLine is wrapped where the station is to begin on something that the
// review does not have.
var ErrNoSuchLine = errors.New("the station cannot begin there")

// on begins with the frames of a line of the review, by the name that it has there.
func (d *Desk) on(name string) error {
	page := d.Review()
	frames, err := review.Find(page, name)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrNoSuchLine, err)
	}
	text := name
	for _, l := range page.Lines {
		if page.Name(l) == name {
			text = LineName(l)
		}
	}
	if !d.ShowOnly(text, frames) {
		return fmt.Errorf("%w: %s", ErrNoSuchLine, d.notice.Text)
	}
	return nil
}
