package job

import (
	"garner/cull"
	"garner/store/catalog"
)

// Counts is how much a job has, for status.
type Counts struct {
	Frames, Bodies, Others int
	Moments, Scenes        int
	Entries                int
	Passes                 []PassCount // in order of definition; keep first
}

// PassCount is how far a pass has come. The frames are those it asks about.
type PassCount struct {
	Pass cull.Pass
	cull.Counts
}

// Counts counts without reading the frames or replaying the answers.
func (j *Job) Counts() (Counts, error) {
	var c Counts
	err := j.db.View(func(tx *catalog.Tx) error {
		ids := tx.Frames().Keys()
		c.Frames, c.Bodies, c.Entries = len(ids), tx.Bodies().Len(), tx.Journal().Len()
		others, err := tx.Others().Get()
		if err != nil {
			return err
		}
		c.Others = len(others)
		l, err := layoutOf(tx)
		if err != nil {
			return err
		}
		c.Scenes = len(l.Scenes)
		for i, p := range l.Places {
			if i == 0 || p.Moment != l.Places[i-1].Moment {
				c.Moments++
			}
		}
		c.Passes, err = countPasses(tx, ids)
		return err
	})
	return c, err
}

func countPasses(tx *catalog.Tx, ids []string) ([]PassCount, error) {
	passes, err := passesOf(tx)
	if err != nil {
		return nil, err
	}
	asked := map[string][]string{} // pass → frames that it asks about
	answers := map[string]map[string]cull.Answer{}
	var out []PassCount
	for _, p := range passes {
		given := map[string]cull.Answer{}
		err := tx.State(p.Name).Each(func(id string, s catalog.State) error {
			given[id] = cull.Answer(s.Answer)
			return nil
		})
		if err != nil {
			return nil, err
		}
		frames := ids
		if of := p.Source.Of; of != "" {
			frames = nil
			for _, id := range asked[of] { // a source is always defined earlier
				if answers[of][id] == p.Source.Answer {
					frames = append(frames, id)
				}
			}
		}
		asked[p.Name], answers[p.Name] = frames, given
		out = append(out, tally(p, frames, given))
	}
	return out, nil
}

func tally(p cull.Pass, frames []string, given map[string]cull.Answer) PassCount {
	c := PassCount{Pass: p}
	for _, id := range frames {
		c.Add(given[id], 1)
	}
	return c
}
