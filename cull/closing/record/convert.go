package record

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"garner/cull"
	"garner/cull/evidence"
)

// Known is all that a job knows of one frame.
type Known struct {
	Frame    cull.Frame
	Place    cull.Place
	Order    int
	Answers  map[string]cull.Decision // by pass
	Look     cull.Look
	Measures cull.Measures
}

// FrameOf writes what is known of a frame. Small, Why and Thumb are left to the caller.
func FrameOf(k Known) Frame {
	f := k.Frame
	o := Frame{
		V: Version, ID: f.ID, Kind: f.Kind, Body: f.Body, Time: timeOf(f.Taken), Corrected: timeOf(k.Place.Corrected),
		Order: k.Order, Moment: k.Place.Moment, MomentKind: string(k.Place.Kind), Series: string(k.Place.Series), Alike: k.Place.Alike, Scene: k.Place.Scene,
		Shot: shotOf(f.Shot), Files: []FrameFile{}, Answers: map[string]*Answer{}, Luma: f.Luma,
	}
	o.Name, o.Raw = text(f.Name)
	for _, a := range f.Aliases {
		o.Aliases = append(o.Aliases, string(a))
	}
	for _, file := range f.Files {
		r := FrameFile{Role: string(file.Role), Kind: file.Kind, Bytes: file.Size, Head: file.Head}
		r.Path, r.Raw = text(file.Path)
		o.Files = append(o.Files, r)
	}
	for pass, d := range k.Answers {
		if d.Answer != cull.Open {
			o.Answers[pass] = &Answer{d.Answer.String(), d.Who, clock(d.At), d.Shown, d.Explicit}
		}
	}
	if f.HasFingerprint {
		o.Hash = fmt.Sprintf("%016x", f.Fingerprint)
	}
	for _, p := range f.Problems {
		o.Problems = append(o.Problems, Problem(p))
	}
	if k.Look.Known() {
		o.Look = k.Look.AppendBinary(nil)
	}
	if m, ok := evidence.JSONOf(k.Measures); ok {
		o.Measured = &m
	}
	return o
}

// Known is the opposite of FrameOf. Previews are not in a record: they are found again
// in the files.
func (o Frame) Known() (Known, error) {
	var k Known
	var err error
	f := &k.Frame
	if f.Name, err = name(o.Name, o.Raw); err != nil {
		return k, err
	}
	if !local(f.Name) {
		return k, fmt.Errorf("%.100q is no name of a frame", f.Name)
	}
	if !isID(o.ID) {
		return k, fmt.Errorf("%.100q is no frame", o.ID)
	}
	f.ID, f.Kind, f.Body, f.Taken, f.Shot, f.Luma = o.ID, o.Kind, o.Body, o.Time.Stamp(), o.Shot.shot(), o.Luma
	for _, a := range o.Aliases {
		if !isID(cull.ID(a)) {
			return k, fmt.Errorf("%.100q is no frame", a)
		}
		f.Aliases = append(f.Aliases, cull.ID(a))
	}
	for _, r := range o.Files {
		p, err := jobPath(r.Path, r.Raw)
		if err != nil {
			return k, err
		}
		f.Files = append(f.Files, cull.File{Path: p, Role: cull.FileRole(r.Role), Kind: r.Kind, Size: r.Bytes, Head: r.Head})
	}
	for _, p := range o.Problems {
		f.Problems = append(f.Problems, cull.Problem(p))
	}
	if hash, err := strconv.ParseUint(o.Hash, 16, 64); err == nil && o.Hash != "" {
		f.Fingerprint, f.HasFingerprint = hash, true
	}
	k.Place = cull.Place{Frame: o.ID, Moment: o.Moment, Kind: cull.MomentKind(o.MomentKind), Series: cull.SeriesKind(o.Series), Alike: o.Alike, Scene: o.Scene, Corrected: o.Corrected.Stamp()}
	k.Order = o.Order
	k.Answers = map[string]cull.Decision{}
	for pass, a := range o.Answers {
		if a == nil {
			return k, fmt.Errorf("the answer in the pass %.100q is none", pass)
		}
		answer, ok := cull.ParseAnswer(a.Answer)
		if !ok {
			return k, fmt.Errorf("%.100q is no answer", a.Answer)
		}
		k.Answers[pass] = cull.Decision{Answer: answer, Who: a.Who, At: Moment(a.At), Shown: a.Shown, Explicit: a.Explicit}
	}
	k.Look, _ = cull.LookFrom(o.Look)
	if o.Measured != nil {
		k.Measures = o.Measured.Measures()
	}
	return k, nil
}

// isID reports whether an id is one that a frame may have: 16 hexadecimal digits.
func isID(id cull.ID) bool {
	_, err := strconv.ParseUint(string(id), 16, 64)
	return err == nil && len(id) == 16 && strings.ToLower(string(id)) == string(id)
}

func shotOf(s cull.Shot) Shot {
	return Shot{
		Orientation: s.Orientation, Seconds: s.Seconds, F: s.FNumber, ISO: s.ISO, Bias: s.Bias, Flash: s.Flash, FocalLength: s.FocalLength, Lens: s.Lens,
		ManualWB: s.ManualWB, AutoBracket: s.AutoBracket, Make: s.Make, Model: s.Model, Serial: s.Serial, Software: s.Software, Width: s.Width, Height: s.Height,
		Counter: s.Counter, Rating: s.Rating, Protected: s.Protected, SubjectX: s.SubjectX, SubjectY: s.SubjectY, SubjectGiven: s.SubjectGiven, ColorSpace: s.ColorSpace,
	}
}

func (s Shot) shot() cull.Shot {
	return cull.Shot{
		Orientation: s.Orientation, Seconds: s.Seconds, FNumber: s.F, ISO: s.ISO, Bias: s.Bias, Flash: s.Flash, FocalLength: s.FocalLength, Lens: s.Lens,
		ManualWB: s.ManualWB, AutoBracket: s.AutoBracket, Make: s.Make, Model: s.Model, Serial: s.Serial, Software: s.Software, Width: s.Width, Height: s.Height,
		Counter: s.Counter, Rating: s.Rating, Protected: s.Protected, SubjectX: s.SubjectX, SubjectY: s.SubjectY, SubjectGiven: s.SubjectGiven, ColorSpace: s.ColorSpace,
	}
}

// BodyOf writes a body.
func BodyOf(b cull.Body) Body {
	o := Body{Key: b.Key, Letter: b.Letter, Make: b.Make, Model: b.Model, Serial: b.Serial, Photographer: b.Photographer, Offsets: []Offset{}}
	for _, f := range b.Offsets {
		off := Offset{Seconds: f.Add.Seconds()}
		if !f.From.IsZero() {
			from := f.From.Format("2006-01-02T15:04:05.999999999")
			off.From = &from
		}
		if f.Zone != nil {
			zone := cull.ZoneText(*f.Zone)
			off.Zone = &zone
		}
		o.Offsets = append(o.Offsets, off)
	}
	return o
}

// maxOffset is more seconds than a clock may be off: 290 years have no more.
const maxOffset = 9e9

// Body is the opposite of BodyOf.
func (o Body) Body() (cull.Body, error) {
	b := cull.Body{Key: o.Key, Letter: o.Letter, Make: o.Make, Model: o.Model, Serial: o.Serial, Photographer: o.Photographer}
	for _, off := range o.Offsets {
		if math.Abs(off.Seconds) > maxOffset {
			return b, fmt.Errorf("a clock is %g seconds off", off.Seconds)
		}
		f := cull.Offset{Add: time.Duration(off.Seconds * float64(time.Second))}
		if off.From != nil {
			from, err := time.Parse("2006-01-02T15:04:05.999999999", *off.From)
			if err != nil {
				return b, fmt.Errorf("%q is no time", *off.From)
			}
			f.From = from
		}
		if off.Zone != nil {
			minutes, err := zoneMinutes(*off.Zone)
			if err != nil {
				return b, err
			}
			f.Zone = &minutes
		}
		b.Offsets = append(b.Offsets, f)
	}
	return b, nil
}

// PassOf writes a pass.
func PassOf(p cull.Pass) Pass {
	o := Pass{Name: p.Name, Question: p.Question, Of: p.Source.Of}
	if p.Source.Of != "" {
		o.Answer = p.Source.Answer.String()
	}
	return o
}

// FileOf writes a file of the job; bag is "" where it is not kept.
func FileOf(jobPath, bag, why, sum string, size int64, modified time.Time) File {
	f := File{V: Version, Bag: bag, Why: why, SHA256: sum, Bytes: size, Modified: clock(modified)}
	f.Path, f.Raw = text(jobPath)
	return f
}

// PictureOf writes a finished picture.
func PictureOf(jobPath string, frames []cull.ID, number int, delivered []Delivered) Picture {
	p := Picture{V: Version, Frames: frames, Number: number, Delivered: delivered}
	p.Path, p.Raw = text(jobPath)
	if p.Frames == nil {
		p.Frames = []cull.ID{}
	}
	if p.Delivered == nil {
		p.Delivered = []Delivered{}
	}
	return p
}

// WroteOf writes what a handoff wrote into a sidecar, as it remembers it.
func WroteOf(jobPath string, values []byte) Wrote {
	w := Wrote{V: Version, Values: values}
	w.Path, w.Raw = text(jobPath)
	return w
}

// SmallOf writes the picture that is kept of an original.
func SmallOf(bag, original, sum string, size int64, width, height int) *Small {
	s := &Small{Path: bag, SHA256: sum, Bytes: size, Width: width, Height: height}
	s.Of, s.Raw = text(original)
	return s
}

// JobPath is the file's path in the job.
func (f File) JobPath() (string, error) { return jobPath(f.Path, f.Raw) }

// JobPath is the picture's path in the job.
func (p Picture) JobPath() (string, error) { return jobPath(p.Path, p.Raw) }

// JobPath is the sidecar's path in the job.
func (w Wrote) JobPath() (string, error) { return jobPath(w.Path, w.Raw) }

// Original is the original's path in the job.
func (s Small) Original() (string, error) { return jobPath(s.Of, s.Raw) }
