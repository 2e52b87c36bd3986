package station

import (
	"fmt"
	"math"
	"path"
	"strconv"
	"strings"
	"time"

	"garner/cull"
	"garner/preview"
)

// Fact is one thing that is known of a frame.
type Fact struct{ Label, Value string }

// Glance returns the frame's exposure in short words, the most telling first,
// for the top line.
func Glance(f cull.Frame, at cull.Stamp) []string {
	var g []string
	add := func(ok bool, text string) {
		if ok {
			g = append(g, text)
		}
	}
	s := f.Shot
	add(at.Known(), at.Wall.Format("15:04:05"))
	add(s.Seconds > 0, shutter(s.Seconds))
	add(s.FNumber > 0, aperture(s.FNumber))
	add(s.ISO > 0, "ISO "+strconv.Itoa(s.ISO))
	add(s.FocalLength > 0, short(s.FocalLength)+" mm")
	return g
}

// Facts returns what is known of the frame under the cursor, in groups.
func (d *Desk) Facts() [][]Fact {
	h, ok := d.Here()
	if !ok {
		return nil
	}
	return [][]Fact{d.focusFacts(h), d.faceFacts(h), d.whenFacts(h), exposureFacts(h.Frame.Shot), d.markedFacts(h), d.placeFacts(h),
		append(d.clippedFacts(h), d.lightFacts(h)...), d.loupeFacts(), d.decisionFacts(h), fileFacts(h.Frame)}
}

// loupeFacts say what is seen close, and of what.
func (d *Desk) loupeFacts() []Fact {
	v := d.shot.Loupe
	if v == nil || v.Part.Empty() {
		return nil
	}
	out := []Fact{{"loupe", fmt.Sprintf("1:1, %d to %d across and %d to %d down of %d x %d",
		v.Part.Min.X, v.Part.Max.X, v.Part.Min.Y, v.Part.Max.Y, v.Size.X, v.Size.Y)}}
	if v.Face != "" {
		return append(out, Fact{"face", v.Face})
	}
	from := map[string]string{
		preview.FocusCamera: "where the camera says it is", preview.FocusSharpest: "the sharpest part", preview.FocusCentre: "not known: the centre",
	}[d.loupe.sights[d.shot.Frame].from]
	if from != "" {
		out = append(out, Fact{"focus", from})
	}
	return out
}

func (d *Desk) whenFacts(h Here) []Fact {
	var out []Fact
	if at := h.Place.Corrected; at.Known() {
		local, zone := at.Text()
		day, clock, _ := strings.Cut(local, "T")
		out = append(out, Fact{"day", day}, Fact{"time", strings.TrimSpace(clock + " " + zone)})
		if raw := h.Frame.Taken; raw.Known() && !raw.Wall.Equal(at.Wall) {
			out = append(out, Fact{"body's clock", raw.Wall.Format("15:04:05") + ", " + clockWords(at.Wall.Sub(raw.Wall))})
		}
	} else {
		out = append(out, Fact{"time", "the file has none"})
	}
	b := d.bodies[h.Frame.Body]
	if b.Letter != "" {
		out = append(out, Fact{"body", strings.TrimSpace(b.Letter + "  " + b.Model)})
	}
	if b.Serial != "" {
		out = append(out, Fact{"serial", b.Serial})
	}
	if b.Photographer != "" {
		out = append(out, Fact{"taken by", b.Photographer})
	}
	return out
}

// clockWords says how a clock was corrected.
func clockWords(add time.Duration) string {
	how := "later"
	if add < 0 {
		how, add = "earlier", -add
	}
	add = add.Round(time.Second)
	var parts []string
	for _, u := range []struct {
		n    int
		unit string
	}{{int(add.Hours()), "h"}, {int(add.Minutes()) % 60, "min"}, {int(add.Seconds()) % 60, "s"}} {
		if u.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", u.n, u.unit))
		}
	}
	if len(parts) == 0 {
		return "less than a second off"
	}
	return "taken as " + strings.Join(parts, " ") + " " + how
}

func exposureFacts(s cull.Shot) []Fact {
	var out []Fact
	add := func(ok bool, label, value string) {
		if ok {
			out = append(out, Fact{label, value})
		}
	}
	add(s.Seconds > 0, "exposure", shutter(s.Seconds))
	add(s.FNumber > 0, "aperture", aperture(s.FNumber))
	add(s.ISO > 0, "ISO", strconv.Itoa(s.ISO))
	if s.Bias != nil {
		add(*s.Bias != 0, "correction", fmt.Sprintf("%+.1f EV", *s.Bias))
	}
	if s.Flash != nil {
		add(*s.Flash, "flash", "fired")
	}
	add(s.FocalLength > 0, "focal length", short(s.FocalLength)+" mm")
	add(s.Lens != "", "lens", s.Lens)
	add(s.AutoBracket, "bracket", "one of a series")
	return out
}

func (d *Desk) placeFacts(h Here) []Fact {
	_, rungs := d.Moment()
	out := []Fact{{"scene", h.Scene}}
	if len(rungs) > 1 {
		at := 0
		for i, r := range rungs {
			if r.Here {
				at = i + 1
			}
		}
		out = append(out, Fact{"moment", fmt.Sprintf("%s, number %d", d.momentWords(h.Frame.ID), at)})
	}
	if alikes := d.Alikes(); len(alikes) > 0 {
		n := 0
		var names []string
		for _, a := range alikes {
			n += a.Counts.All()
			if len(names) < 3 {
				names = append(names, path.Base(a.Name))
			}
		}
		more := ""
		if len(alikes) > len(names) {
			more = fmt.Sprintf(" and %d more", len(alikes)-len(names))
		}
		out = append(out, Fact{"look-alikes", fmt.Sprintf("%d in other moments, from %s%s", n, strings.Join(names, ", "), more)})
	}
	return out
}

func (d *Desk) decisionFacts(h Here) []Fact {
	var out []Fact
	for _, p := range d.session.Passes() {
		dec := d.session.Decision(p.Name, h.Frame.ID)
		if dec.Answer == cull.Open {
			if p.Name == d.session.CursorPass() {
				out = append(out, Fact{p.Name, "open"})
			}
			continue
		}
		how := dec.At.Local().Format("2 Jan 15:04")
		if dec.Who != "" {
			how = dec.Who + ", " + how
		}
		if !dec.Shown {
			how += ", never shown"
		}
		if !dec.Explicit {
			how += ", by a burst key"
		}
		out = append(out, Fact{p.Name, dec.Answer.Word(p.Name) + " (" + how + ")"})
	}
	return out
}

func fileFacts(f cull.Frame) []Fact {
	var out []Fact
	if f.Freed() {
		of := f.Files[0].Of
		out = append(out, Fact{"original", fmt.Sprintf("%s, %s: not here, its small picture is", of.Path, megabytes(of.Size))})
	}
	for _, file := range f.Files {
		out = append(out, Fact{string(file.Role), fmt.Sprintf("%s, %s", file.Path, megabytes(file.Size))})
	}
	for _, p := range f.Previews {
		text := fmt.Sprintf("%d x %d, %s", p.Width, p.Height, megabytes(p.Length))
		if !p.Whole {
			text += ", cut off"
		}
		out = append(out, Fact{"JPEG inside", text})
		if len(out) > 12 {
			break
		}
	}
	if f.Shot.Width > 0 {
		out = append(out, Fact{"sensor", fmt.Sprintf("%d x %d", f.Shot.Width, f.Shot.Height)})
	}
	return out
}

// shutter writes an exposure time as bodies do: 1/250 s, 2.5 s.
func shutter(seconds float64) string {
	if seconds < 0.3 {
		return fmt.Sprintf("1/%.0f s", 1/seconds)
	}
	return short(seconds) + " s"
}

func aperture(n float64) string { return "f/" + short(n) }

// short writes a number with at most one digit after the point.
func short(v float64) string { return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) }

func megabytes(n int64) string {
	if n < 1_000_000 {
		return fmt.Sprintf("%d kB", (n+500)/1000)
	}
	return fmt.Sprintf("%.1f MB", float64(n)/1e6)
}

// Took is how long a span of time is, in words for a person.
func Took(d time.Duration) string {
	switch {
	case d < time.Minute:
		return fmt.Sprintf("%d s", int(d.Seconds()))
	case d < time.Hour:
		return fmt.Sprintf("%d min", int(d.Round(time.Minute).Minutes()))
	}
	d = d.Round(time.Minute)
	return fmt.Sprintf("%d h %02d min", int(d.Hours()), int(d.Minutes())%60)
}
