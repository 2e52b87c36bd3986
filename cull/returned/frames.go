package returned

import (
	"io"
	"os"
	"path/filepath"

	"garner/cull"
	"garner/cull/job"
	"garner/preview/finished"
	"garner/preview/pix"
	"garner/preview/xmp"
)

// known is the job's frames, with what they are compared by.
type known struct {
	frames []Frame
	looks  map[cull.ID]pix.Looks
	files  map[cull.ID][]cull.File
}

// framesOf reads the frames of a job, in the order of the layout.
func framesOf(j *job.Job) (known, error) {
	k := known{looks: map[cull.ID]pix.Looks{}, files: map[cull.ID][]cull.File{}}
	frames, err := j.Frames()
	if err != nil {
		return k, err
	}
	looks, err := j.Looks()
	if err != nil {
		return k, err
	}
	layout, err := j.Layout()
	if err != nil {
		return k, err
	}
	answers := map[string]map[cull.ID]cull.Decision{}
	for _, pass := range []string{cull.KeepPass, cull.ReviewPass, cull.RescuePass} {
		if answers[pass], err = j.Decisions(pass); err != nil {
			return k, err
		}
	}
	list, err := j.Bodies()
	if err != nil {
		return k, err
	}
	bodies := map[string]cull.Body{}
	for _, b := range list {
		bodies[b.Key] = b
	}
	for i, place := range layout.Places {
		f, ok := frames[place.Frame]
		if !ok {
			continue
		}
		body := bodies[f.Body]
		frame := Frame{ID: f.ID, Name: f.Name, Letter: body.Letter, Taken: f.Taken, Corrected: body.Correct(f.Taken),
			Make: f.Shot.Make, Model: f.Shot.Model, Serial: f.Shot.Serial, Counter: f.Shot.Counter,
			Answer: cull.Outcome(answers[cull.KeepPass][f.ID].Answer, answers[cull.ReviewPass][f.ID].Answer, answers[cull.RescuePass][f.ID].Answer),
			Moment: place.Moment, Series: place.Kind == cull.Series, Alike: place.Alike, Place: i}
		frame.Width, frame.Height = upright(f)
		for _, file := range f.Files {
			if file.Role != cull.RoleSidecar && file.Role != cull.RoleVoice {
				frame.Files = append(frame.Files, file.Original())
			}
		}
		if l, ok := looks[f.ID]; ok && l.Method == pix.LookMethod && f.CanBeShown() {
			frame.Looked = true
			k.looks[f.ID] = pix.Looks(l)
		}
		k.files[f.ID] = f.Files
		k.frames = append(k.frames, frame)
	}
	return k, nil
}

// upright is the size of a frame as it is seen, 0 where nobody knows: that of the
// sensor, but some files give that of a thumbnail, or none.
func upright(f cull.Frame) (w, h int) {
	w, h = f.Shot.Width, f.Shot.Height
	for _, p := range f.Previews {
		if p.Whole && p.Width > w && p.Height > h {
			w, h = p.Width, p.Height
		}
	}
	if pix.Turned(f.Shot.Orientation) {
		w, h = h, w
	}
	return max(w, 0), max(h, 0)
}

// maxSidecar is more than a sidecar with long histories has.
const maxSidecar = 4 << 20

// readDocuments takes the ids of documents out of the frames' sidecars and, of JPEGs,
// out of the files themselves. It is for jobs of which a picture carries such ids.
func (k *known) readDocuments(root string) {
	for i := range k.frames {
		f := &k.frames[i]
		for _, file := range k.files[f.ID] {
			path := filepath.Join(root, filepath.FromSlash(file.Path))
			switch {
			case file.Role == cull.RoleSidecar:
				f.Documents = append(f.Documents, ofSidecar(path)...)
			case file.Kind == "JPEG" && (file.Role == cull.RoleMain || file.Role == cull.RoleJPEG || file.Role == cull.RoleSmall):
				f.Documents = append(f.Documents, ofJPEG(path)...)
			}
		}
	}
}

// ofSidecar gives the ids in a sidecar; of one that cannot be read there are none.
func ofSidecar(path string) (ids []string) {
	file, err := os.Open(path)
	if err != nil {
		return nil
	}
	defer file.Close()
	b, err := io.ReadAll(io.LimitReader(file, maxSidecar))
	if err != nil {
		return nil
	}
	d, err := xmp.Parse(b)
	if err != nil {
		return nil
	}
	for _, name := range []string{"DocumentID", "OriginalDocumentID"} {
		if id, ok := d.Get("http://ns.adobe.com/xap/1.0/mm/", name); ok && id != "" {
			ids = append(ids, id)
		}
	}
	return ids
}

func ofJPEG(path string) []string {
	file, err := os.Open(path)
	if err != nil {
		return nil
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return nil
	}
	p, err := finished.Open(file, info.Size())
	if err != nil {
		return nil
	}
	return withoutEmpty(p.Meta.DocumentID, p.Meta.OriginalDocumentID)
}
