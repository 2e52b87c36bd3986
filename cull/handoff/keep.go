package handoff

import (
	"cmp"
	"slices"

	"garner/cull"
	"garner/cull/evidence"
)

// Keep is one frame that is handed over, with all that the lists say of it.
type Keep struct {
	Order     int // place in the day, from 0: see dayOrder
	Frame     cull.Frame
	Letter    string // the body's letter; "" = unknown body
	Moment    int
	Scene     cull.Scene
	Corrected cull.Stamp
	Answer    cull.Answer // Yes, or Part: material for a merge
	Passes    []string    // later passes that said yes, in their order

	Lead   cull.ID         // whose correction it takes; "" = nobody's
	Light  evidence.Frame  // what is known of its light
	Offset evidence.Offset // from the lead, where it is kept for itself
	Looked bool            // its picture was looked at for its light

	Measures cull.Measures // what was measured of it to help the eye
}

// main is the file that goes to the editor first.
func (k Keep) main() cull.File { return k.Frame.Files[0] }

// originals are the files of the frame that are copied with it: everything of
// the exposure but its sidecars, which are made anew, and the other slot's
// copy, which is the same picture again, as is a small picture beside its raw.
func (k Keep) originals() []cull.File {
	return slices.DeleteFunc(slices.Clone(k.Frame.Files), func(f cull.File) bool {
		return f.Role == cull.RoleSidecar || f.Role == cull.RoleTwin || f.Role == cull.RoleSmall && f.Path != k.main().Path
	})
}

// ignoresSidecar reports kinds whose metadata lies inside the file, so that
// many editors never look at a sidecar (common practice of the trade).
func (k Keep) ignoresSidecar() bool {
	return k.Frame.Freed() || k.Frame.Kind == "JPEG" || k.Frame.Kind == "DNG" || k.Frame.Kind == "TIFF" || k.Frame.Kind == "HEIF"
}

// answer is what was decided of a frame in the end: in the pass keep, unless the
// review of the kept ones or the rescue of the dropped ones said otherwise.
func (s *state) answer(id cull.ID) cull.Answer {
	return cull.Outcome(s.answers[cull.KeepPass][id].Answer, s.answers[cull.ReviewPass][id].Answer, s.answers[cull.RescuePass][id].Answer)
}

// keeps gathers the handed-over frames in the order of the day.
func (s *state) keeps() []Keep {
	var out []Keep
	order := s.dayOrder()
	for _, p := range s.layout.Places {
		f, ok := s.frames[p.Frame]
		a := s.answer(p.Frame)
		if !ok || len(f.Files) == 0 || !handedOver(a) {
			continue
		}
		out = append(out, Keep{Order: order[p.Frame], Frame: f, Letter: s.letters[f.Body], Moment: p.Moment, Scene: s.scene(p.Frame),
			Corrected: p.Corrected, Answer: a, Passes: s.passesOf(p.Frame), Measures: s.measures[p.Frame]})
	}
	slices.SortFunc(out, func(a, b Keep) int { return cmp.Compare(a.Order, b.Order) })
	s.lighten(out)
	return out
}
