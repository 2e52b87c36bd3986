package job

import (
	"maps"
	"slices"
	"strings"
	"time"

	"garner/cull"
	"garner/cull/gaps"
)

// Status is where a job stands.
type Status struct {
	Counts
	Bodies      []BodyStatus
	Unknown     int           // frames of no known body
	NotShowable []cull.Frame  // no embedded JPEG that can be shown, by name
	NoTime      int           // frames without a capture time
	Gone        int           // frames of which no file is left
	Freed       int           // frames that live on in a small picture, their originals being freed here
	Pictured    int           // other frames that are here as a small picture: the job was made of a bag, which has no more of them
	HandedOver  int           // sidecars that a handoff wrote
	InManifest  int           // originals with a recorded sum
	First, Last time.Time     // corrected capture times, wall clock; zero = none known
	Owner       string        // who is deciding now; "" = nobody
	ScenesKept  []SceneStatus // in order
	Cards       []Card        // in the order in which they were taken in
	Alarms      []gaps.Alarm  // frames or cards that seem to be missing
	FewMissing  int           // numbers that are missing here and there, as after deleting in the camera
	Also        []AlsoPlace   // folders beside the job that everything goes to
	Damaged     []string      // files known to be damaged, by path
	Measured    MeasuredCounts
	Faces       Consent // whether faces may be looked for
	People      Consent // whether templates of them may be made
}

// BodyStatus is one body and its frames.
type BodyStatus struct {
	cull.Body
	Frames int
	Usual  *time.Duration // what the studio usually adds to its clock; nil = not said, or corrected in this job
}

// SceneStatus counts the answers of the pass keep in one scene.
type SceneStatus struct {
	Scene              cull.Scene
	Frames, Kept, Open int
}

// Status gathers what the command of that name shows.
func (j *Job) Status() (Status, error) {
	var s Status
	counts, err := j.Counts()
	if err != nil {
		return s, err
	}
	frames, err := j.Frames()
	if err != nil {
		return s, err
	}
	bodies, err := j.Bodies()
	if err != nil {
		return s, err
	}
	session, err := j.Session()
	if err != nil {
		return s, err
	}
	wrote, err := j.AllWrote()
	if err != nil {
		return s, err
	}
	manifest, err := j.Manifest()
	if err != nil {
		return s, err
	}
	others, err := j.Others()
	if err != nil {
		return s, err
	}
	here, err := j.FreedHere()
	if err != nil {
		return s, err
	}
	if err := s.kept(j); err != nil {
		return s, err
	}
	if err := s.measured(j); err != nil {
		return s, err
	}
	s.alarms(frames, bodies, others)
	s.Counts, s.InManifest = counts, len(manifest)
	for key := range wrote {
		if !strings.Contains(key, "\x00") { // a sidecar of the job, not a copy elsewhere
			s.HandedOver++
		}
	}
	if o, ok := j.Owner(); ok {
		s.Owner = o.String()
	}
	perBody := map[string]int{}
	for _, id := range slices.Sorted(maps.Keys(frames)) {
		f := frames[id]
		if len(f.Files) == 0 {
			s.Gone++
			continue
		}
		perBody[f.Body]++
		switch {
		case !f.Freed():
		case here[f.Files[0].Of.Path] != (FreedFile{}):
			s.Freed++
		default:
			s.Pictured++
		}
		if !f.Taken.Known() {
			s.NoTime++
		}
		if !showable(f) {
			s.NotShowable = append(s.NotShowable, f)
		}
	}
	slices.SortFunc(s.NotShowable, func(a, b cull.Frame) int { return strings.Compare(a.Name, b.Name) })
	s.Unknown = perBody[""]
	for _, b := range bodies {
		b.Photographer = j.o.Settings.Photographer(b)
		bs := BodyStatus{Body: b, Frames: perBody[b.Key]}
		if usual, ok := j.o.Settings.ClockGuess(b); ok {
			bs.Usual = &usual
		}
		s.Bodies = append(s.Bodies, bs)
	}
	s.scenes(session)
	return s, nil
}

// showable reports whether a frame has a picture for the screen.
func showable(f cull.Frame) bool {
	return slices.ContainsFunc(f.Previews, func(p cull.Preview) bool { return p.Whole }) &&
		f.CanBeShown()
}

// scenes counts each scene and finds the first and the last capture time.
func (s *Status) scenes(session *cull.Session) {
	l := session.Layout()
	for _, sc := range l.Scenes {
		s.ScenesKept = append(s.ScenesKept, SceneStatus{Scene: sc})
	}
	for _, p := range l.Places {
		if t := p.Corrected.Wall; !t.IsZero() {
			if s.First.IsZero() || t.Before(s.First) {
				s.First = t
			}
			if t.After(s.Last) {
				s.Last = t
			}
		}
		if p.Scene >= len(s.ScenesKept) {
			continue
		}
		sc := &s.ScenesKept[p.Scene]
		sc.Frames++
		switch session.Outcome(p.Frame) {
		case cull.Yes, cull.Part:
			sc.Kept++
		case cull.Open:
			sc.Open++
		}
	}
}
