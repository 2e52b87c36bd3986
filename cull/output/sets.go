package output

import (
	"maps"
	"math"
	"slices"
	"strings"

	"garner/cull/job"
	"garner/preview/finished"
	"garner/preview/icc"
	"garner/preview/imprint"
	"garner/preview/proofs"
	"garner/preview/resample"
)

// Set is one set of files as it is to be cut.
type Set struct {
	Name    string // and of its folder in JOB/sets
	Skip    bool   // only if it is asked for
	Size    resample.Size
	Space   icc.Space
	Chroma  imprint.Chroma
	Sharpen resample.Unsharp
	Quality int
	Limit   int // bytes of a file; 0 = none
	PPI     int
	Paper   bool `json:",omitempty"` // the size is that of paper, which a picture with fewer pixels fills, too
	Stamp   bool
	GPS     bool // the place is kept
	Serial  bool // numbers of body and lens are kept
	Pattern string
	Pages   *Pages `json:"-"` // of proofs; nil for a set that is files alone
}

// built returns the settings of the sets that are there without any: a print lab
// takes 300 pixels an inch; 2048 pixels are what galleries show; 3840 by 2160 are a
// large screen (common practice, all of it). Smaller pictures are sharpened a little,
// for what a filter takes (common practice, too). Proofs are for a client to choose from,
// and not every client does.
func built() map[string]job.SetSettings {
	return map[string]job.SetSettings{
		"lab":    {Quality: to(95), PPI: to(300), Keep: job.Keeps},
		"online": {LongEdge: to(2048), Quality: to(85), Chroma: to("half"), Sharpen: to(0.4), Stamp: to(true), Keep: []string{}},
		"screen": {Fit: &job.Dimensions{W: 3840, H: 2160}, Quality: to(90), Sharpen: to(0.3), Keep: job.Keeps},
		job.ProofsSet: {Skip: to(true), LongEdge: to(1600), Quality: to(80), Chroma: to("half"), Sharpen: to(0.4), Stamp: to(true), Keep: []string{},
			Name: to("{number}"), Paper: []string{proofs.A4.String()}},
	}
}

func to[T any](v T) *T { return &v }

func or[T any](v *T, usual T) T {
	if v == nil {
		return usual
	}
	return *v
}

// Sets returns the sets of a job in the order of their names, the built-in ones first.
func Sets(s job.Settings) []Set {
	own := map[string]job.SetSettings{}
	for name, v := range s.Sets {
		if low := strings.ToLower(name); built()[low].Quality != nil {
			name = low // the built-in one, in whatever letters
		}
		own[name] = v
	}
	var sets []Set
	for _, name := range slices.Sorted(maps.Keys(built())) {
		sets = append(sets, setOf(name, own[name].Over(built()[name])))
		delete(own, name)
	}
	for _, name := range slices.Sorted(maps.Keys(own)) {
		sets = append(sets, setOf(name, own[name]))
	}
	return sets
}

// setOf makes a set of settings that have been checked.
func setOf(name string, s job.SetSettings) Set {
	t := Set{
		Name: name, Skip: or(s.Skip, false), Quality: or(s.Quality, 90), Limit: or(s.Bytes, 0), PPI: or(s.PPI, 300),
		Stamp: or(s.Stamp, false), Pattern: or(s.Name, "{name}"),
		Sharpen: resample.Unsharp{Amount: or(s.Sharpen, 0), Radius: or(s.SharpenRadius, 0.6), Threshold: or(s.SharpenThreshold, 1)},
		Size:    resample.Size{Crop: or(s.Crop, false), Enlarge: or(s.Enlarge, false)},
	}
	t.Space, _ = icc.SpaceNamed(or(s.Space, "sRGB"))
	if strings.EqualFold(or(s.Chroma, "full"), "half") {
		t.Chroma = imprint.Half
	}
	switch {
	case s.LongEdge != nil:
		t.Size.Kind, t.Size.W = resample.LongEdge, *s.LongEdge
	case s.Fit != nil:
		t.Size.Kind = resample.Fit
		t.Size.W, t.Size.H = pixels(*s.Fit, t.PPI)
		t.Paper = s.Fit.Unit != job.Pixels
		t.Size.EitherWay = or(s.EitherWay, t.Paper)
	case s.Exact != nil:
		t.Size.Kind = resample.Exact
		t.Size.W, t.Size.H = pixels(*s.Exact, t.PPI)
		t.Paper = s.Exact.Unit != job.Pixels
		t.Size.EitherWay = or(s.EitherWay, true) // paper is turned
	}
	for _, at := range s.CropAt {
		switch strings.ToLower(at) {
		case "top":
			t.Size.Down = -1
		case "bottom":
			t.Size.Down = 1
		case "left":
			t.Size.Across = -1
		case "right":
			t.Size.Across = 1
		}
	}
	has := func(word string) bool {
		return slices.ContainsFunc(s.Keep, func(k string) bool { return strings.EqualFold(k, word) })
	}
	t.GPS, t.Serial = has("gps"), has("serial")
	if name == job.ProofsSet {
		t.Pages = pagesOf(s)
	}
	return t
}

// perInch is what the file of a picture says of its resolution: on paper what it comes
// out at there, so that one with too few pixels is as large as the others.
func (s *Set) perInch(p *finished.Picture) int {
	if !s.Paper {
		return s.PPI
	}
	whole := s.Size
	whole.Enlarge = true
	is, err := s.Size.Plan(p.Width, p.Height, p.Orientation)
	if err != nil {
		return s.PPI // there will be no file
	}
	wanted, err := whole.Plan(p.Width, p.Height, p.Orientation)
	if err != nil || wanted.UprightW == is.UprightW {
		return s.PPI
	}
	return max(1, int(math.Round(float64(s.PPI)*float64(is.UprightW)/float64(wanted.UprightW))))
}

// pixels are those of a piece of paper, or of a screen.
func pixels(d job.Dimensions, ppi int) (w, h int) {
	switch d.Unit {
	case job.Millimetres:
		return max(resample.Millimetres(d.W, ppi), 1), max(resample.Millimetres(d.H, ppi), 1)
	case job.Inches:
		return max(resample.Inches(d.W, ppi), 1), max(resample.Inches(d.H, ppi), 1)
	}
	return int(d.W), int(d.H)
}

// Choose returns the sets of those names, or all that are not to be skipped where
// there are no names; unknown is a name that no set has.
func Choose(sets []Set, names []string) (chosen []Set, unknown string) {
	for _, n := range names {
		if !slices.ContainsFunc(sets, func(s Set) bool { return strings.EqualFold(s.Name, n) }) {
			return nil, n
		}
	}
	for _, s := range sets {
		if len(names) == 0 && !s.Skip || slices.ContainsFunc(names, func(n string) bool { return strings.EqualFold(s.Name, n) }) {
			chosen = append(chosen, s)
		}
	}
	return chosen, ""
}
