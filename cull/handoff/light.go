package handoff

import (
	"garner/cull"
	"garner/cull/evidence"
)

// lighten adds to keepers what is known of their light, and to each the frame whose
// correction it takes: the lead of its scene, and for material for a merge the
// keeper of its moment.
func (s *state) lighten(keeps []Keep) {
	scenes := map[int][]evidence.Frame{}
	moments := map[int]cull.ID{}
	for i := range keeps {
		k := &keeps[i]
		look, ok := s.looks[k.Frame.ID]
		k.Looked = ok && k.Frame.HasFingerprint
		k.Light = evidence.Of(k.Frame, &look, k.Answer == cull.Yes)
		scenes[k.Scene.ID] = append(scenes[k.Scene.ID], k.Light)
		if _, had := moments[k.Moment]; !had && k.Answer == cull.Yes {
			moments[k.Moment] = k.Frame.ID
		}
	}
	leads, offsets := map[int]cull.ID{}, map[cull.ID]evidence.Offset{}
	for id, frames := range scenes {
		light := evidence.Light(frames)
		leads[id] = light.Lead
		for _, o := range light.Offsets {
			offsets[o.Frame] = o
		}
	}
	for i := range keeps {
		k := &keeps[i]
		if k.Answer != cull.Yes {
			k.Lead = moments[k.Moment]
			continue
		}
		k.Lead, k.Offset = leads[k.Scene.ID], offsets[k.Frame.ID]
	}
}
