package job

import (
	"slices"

	"garner/cull"
	"garner/store/catalog"
)

// measuredEvidence is the method under which it is kept that a frame was measured,
// from what, and what came of it.
const measuredEvidence = "measured-1"

// Measured is what measuring a frame gave.
type Measured struct {
	cull.Measures
	Tried Tried
}

// Tried is how a frame was measured. A part that was tried and is not known could
// not be measured, and is not tried again.
type Tried struct {
	Of                  string // what the pixels came from, in the words of whoever measures, at most 255 bytes
	Focus, Light, Faces uint8  // the methods that were tried; 0 = none
	Why                 string // why something could not be measured: a sentence, at most 255 bytes; "" = all could
}

// SaveMeasures stores what was measured of frames, all of it or nothing. A part
// that is not Known is left as it was. Faces are left out while the job does not say
// yes to them (see [Job.SetFaces]). Numbers are kept in single precision.
func (j *Job) SaveMeasures(found map[cull.ID]cull.Measures) error {
	return j.update(func(tx *catalog.Tx) error {
		faces, err := consentOf(tx, correctFaces)
		if err != nil {
			return err
		}
		for id, m := range found {
			if err := putMeasures(tx, string(id), m, faces.Yes); err != nil {
				return err
			}
		}
		return nil
	})
}

// SaveMeasured is SaveMeasures with how it was measured. What had been measured of
// other pixels is forgotten; parts that were tried before and not now stay as they
// are. A frame that the job does not have any more is passed over.
func (j *Job) SaveMeasured(found map[cull.ID]Measured) error {
	return j.update(func(tx *catalog.Tx) error {
		faces, err := consentOf(tx, correctFaces)
		if err != nil {
			return err
		}
		for former, m := range found {
			id, err := present(tx, former)
			if err != nil {
				return err
			}
			if _, ok, err := tx.Frames().Get(id); err != nil || !ok {
				if err != nil {
					return err
				}
				continue
			}
			if !faces.Yes {
				m.Tried.Faces = 0
			}
			if err := putTried(tx, id, m.Tried); err != nil {
				return err
			}
			if err := putMeasures(tx, id, m.Measures, faces.Yes); err != nil {
				return err
			}
		}
		return nil
	})
}

// putTried notes how a frame was measured, together with what is known of it.
func putTried(tx *catalog.Tx, id string, now Tried) error {
	t := tx.Evidence(measuredEvidence)
	blob, ok, err := t.Get(id)
	if err != nil {
		return err
	}
	was, whole := decodeTried(blob)
	if ok && (!whole || was.Of != now.Of) {
		if err := forgetMeasures(tx, id); err != nil {
			return err
		}
		was = Tried{}
	}
	for _, part := range []struct{ now, was *uint8 }{{&now.Focus, &was.Focus}, {&now.Light, &was.Light}, {&now.Faces, &was.Faces}} {
		if *part.now == 0 {
			*part.now = *part.was
		}
	}
	if now.Why == "" {
		now.Why = was.Why
	}
	return t.Put(id, encodeTried(now))
}

func putMeasures(tx *catalog.Tx, id string, m cull.Measures, faces bool) error {
	if m.Focus.Known() {
		if err := tx.Evidence(cull.FocusMethodName).Put(id, encodeFocus(m.Focus)); err != nil {
			return err
		}
	}
	if m.Light.Known() {
		if err := tx.Evidence(cull.LightMethodName).Put(id, encodeLight(m.Light)); err != nil {
			return err
		}
	}
	if m.Faces.Known() && faces {
		return tx.Evidence(cull.FacesMethodName).Put(id, encodeFaces(m.Faces))
	}
	return nil
}

// Measures returns what was measured of the frames, of those of which something is
// known. A record that is damaged or of a later version counts as none: it is
// measured again.
func (j *Job) Measures() (map[cull.ID]cull.Measures, error) {
	var found map[cull.ID]cull.Measures
	err := j.db.View(func(tx *catalog.Tx) (err error) {
		found, err = measuresOf(tx)
		return err
	})
	return found, err
}

func measuresOf(tx *catalog.Tx) (map[cull.ID]cull.Measures, error) {
	found := map[cull.ID]cull.Measures{}
	err := tx.Evidence(cull.FocusMethodName).Each(func(id string, blob []byte) error {
		if f, ok := decodeFocus(blob); ok {
			found[cull.ID(id)] = cull.Measures{Focus: f}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	err = tx.Evidence(cull.LightMethodName).Each(func(id string, blob []byte) error {
		if l, ok := decodeLight(blob); ok {
			m := found[cull.ID(id)]
			m.Light = l
			found[cull.ID(id)] = m
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	err = tx.Evidence(cull.FacesMethodName).Each(func(id string, blob []byte) error {
		if f, ok := decodeFaces(blob); ok {
			m := found[cull.ID(id)]
			m.Faces = f
			found[cull.ID(id)] = m
		}
		return nil
	})
	return found, err
}

// MeasuresOf returns what was measured of some frames; a former id stands for the
// frame's present one.
func (j *Job) MeasuresOf(ids ...cull.ID) (map[cull.ID]cull.Measures, error) {
	found := make(map[cull.ID]cull.Measures, len(ids))
	err := j.db.View(func(tx *catalog.Tx) error {
		for _, former := range ids {
			id, err := present(tx, former)
			if err != nil {
				return err
			}
			var m cull.Measures
			blob, _, err := tx.Evidence(cull.FocusMethodName).Get(id)
			if err != nil {
				return err
			}
			m.Focus, _ = decodeFocus(blob)
			if blob, _, err = tx.Evidence(cull.LightMethodName).Get(id); err != nil {
				return err
			}
			m.Light, _ = decodeLight(blob)
			if blob, _, err = tx.Evidence(cull.FacesMethodName).Get(id); err != nil {
				return err
			}
			m.Faces, _ = decodeFaces(blob)
			found[cull.ID(id)] = m
		}
		return nil
	})
	return found, err
}

// Tried returns how the frames were measured, of those that were.
func (j *Job) Tried() (map[cull.ID]Tried, error) {
	tried := map[cull.ID]Tried{}
	err := j.db.View(func(tx *catalog.Tx) error {
		return tx.Evidence(measuredEvidence).Each(func(id string, blob []byte) error {
			if t, ok := decodeTried(blob); ok {
				tried[cull.ID(id)] = t
			}
			return nil
		})
	})
	return tried, err
}

// MeasuredCounts counts the frames of which something is known.
type MeasuredCounts struct{ Focus, Light, Faces int }

// measured counts what was measured, and reads what may be.
func (s *Status) measured(j *Job) error {
	return j.db.View(func(tx *catalog.Tx) (err error) {
		s.Measured = MeasuredCounts{tx.Evidence(cull.FocusMethodName).Len(), tx.Evidence(cull.LightMethodName).Len(), tx.Evidence(cull.FacesMethodName).Len()}
		if s.Faces, err = consentOf(tx, correctFaces); err == nil {
			s.People, err = consentOf(tx, correctPeople)
		}
		return err
	})
}

// ForgetFaces removes everything that was measured about faces. Where the job says
// yes to them they are measured again.
func (j *Job) ForgetFaces() error { return j.update(forgetFaces) }

func forgetFaces(tx *catalog.Tx) error {
	faces := tx.Evidence(cull.FacesMethodName)
	for _, id := range faces.Keys() {
		if err := faces.Delete(id); err != nil {
			return err
		}
	}
	tried := tx.Evidence(measuredEvidence)
	for _, id := range tried.Keys() {
		blob, _, err := tried.Get(id)
		if err != nil {
			return err
		}
		t, ok := decodeTried(blob)
		if ok && t.Faces == 0 {
			continue
		}
		t.Faces = 0
		if err := tried.Put(id, encodeTried(t)); err != nil {
			return err
		}
	}
	return nil
}

// forgetMeasures forgets all that was measured of a frame.
func forgetMeasures(tx *catalog.Tx, id string) error {
	for _, method := range []string{cull.FocusMethodName, cull.LightMethodName, cull.FacesMethodName, measuredEvidence} {
		if err := tx.Evidence(method).Delete(id); err != nil {
			return err
		}
	}
	return nil
}

// samePixels reports whether what was measured of a frame holds after its files
// were read anew: the pictures lie where they lay, in files of the same size and
// beginning. A new place of a file changes nothing, nor does it that an original was
// freed.
func samePixels(was, now catalog.Frame) bool {
	if was.Shot.Orientation != now.Shot.Orientation {
		return false
	}
	if justFreed(was, now) {
		return true
	}
	if len(was.Previews) != len(now.Previews) {
		return false
	}
	for i, p := range now.Previews {
		q := was.Previews[i]
		a, b := fileOf(was, q.File), fileOf(now, p.File)
		if p.Offset != q.Offset || p.Length != q.Length || p.Width != q.Width || p.Height != q.Height || a.Size != b.Size || a.Head != b.Head {
			return false
		}
	}
	return true
}

// justFreed reports whether a frame lives on in a small picture of the file that led
// it: it shows the same, and what was measured in the original is the better of two.
func justFreed(was, now catalog.Frame) bool {
	if len(was.Files) == 0 || len(now.Files) == 0 {
		return false
	}
	a, of := was.Files[0], now.Files[0].Of
	return of.Path != "" && a.Size == of.Size && a.Head == of.Head
}

func fileOf(f catalog.Frame, path string) catalog.File {
	if i := slices.IndexFunc(f.Files, func(file catalog.File) bool { return file.Path == path }); i >= 0 {
		return f.Files[i]
	}
	return catalog.File{}
}
