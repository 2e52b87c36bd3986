package handoff

import (
	"time"

	"garner/cull"
	"garner/cull/sidecar"
)

// values is what we have to say about a frame; zero for one that is not handed
// over, so that what was said before is taken back. Only the date is then set.
func (s *state) values(id cull.ID) sidecar.Values {
	v := sidecar.Values{MetadataDate: s.dates[id]}
	answer := s.answer(id)
	rating, good := s.o.Rating, true
	switch {
	case handedOver(answer):
	case answer == cull.No && s.o.Drops:
		rating, good = -1, false
	default:
		return v
	}
	v.Rating, v.Good = &rating, &good
	v.Scene, v.CameraLabel = s.scene(id).Name, s.letters[s.frames[id].Body]
	s.credit(id, &v)
	if s.o.Times {
		s.times(id, &v)
	}
	if s.o.Keywords {
		v.Keywords = []string{}
		if good { // a dropped frame has left the later passes
			v.Keywords = append(v.Keywords, s.passesOf(id)...)
		}
	}
	return v
}

// credit adds who took the picture, who is to be named and whose it is, as far as
// the settings say so.
func (s *state) credit(id cull.ID, v *sidecar.Values) {
	v.Creator, v.Credit, v.Rights = s.creators[s.frames[id].Body], s.job.Settings().Credit, s.job.Settings().Rights
}

// times adds when the picture was taken, where that is not what the file says: a
// clock or its zone was corrected. It has the digits that the file carried and a zone
// only if one is known (ISO 16684-1 §8.2.1.2).
func (s *state) times(id cull.ID, v *sidecar.Values) {
	taken := s.frames[id].Taken
	right := s.bodies[s.frames[id].Body].Correct(taken)
	local, zone := right.Text()
	if was, wasZone := taken.Text(); local == was && zone == wasZone {
		return
	}
	v.Original, v.Created = local+zone, local+zone
}

// handedOver reports the answers whose frames the editor gets.
func handedOver(a cull.Answer) bool { return a == cull.Yes || a == cull.Part }

// passesOf are the later passes that said yes to a frame, in their order.
func (s *state) passesOf(id cull.ID) (names []string) {
	for _, p := range s.passes {
		if p.Name != cull.KeepPass && s.answers[p.Name][id].Answer == cull.Yes {
			names = append(names, p.Name)
		}
	}
	return names
}

// xmpDate writes the time of a journal entry, whole milliseconds, as an XMP date
// (ISO 16684-1 §8.2.1.2). It is never the time of writing, so that the same
// decisions always give the same bytes.
func xmpDate(t time.Time) string { return t.UTC().Format("2006-01-02T15:04:05.000Z") }
