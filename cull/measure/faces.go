package measure

import (
	"context"

	"garner/cull"
	"garner/cull/evidence"
	"garner/cull/people"
	"garner/preview"
	"garner/preview/jpeg"
	"garner/preview/measure"
)

// faces looks for the faces of a frame. What is wrong with the networks goes into out:
// it concerns no frame.
func (l *looker) faces(ctx context.Context, out *found, d *preview.Detail, m *jpeg.Image, w wanted) error {
	r := l.reader()
	defer func() { l.readers <- r }()
	list, err := measure.FacesOf(ctx, r, d, m, measure.FaceOptions{Most: cull.MaxFaces, Templates: w.people})
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		out.networks = err
		return nil
	}
	if w.faces {
		out.Tried.Faces = cull.FacesMethod
		out.Faces = cull.Faces{Method: cull.FacesMethod, Width: d.Width, Height: d.Height}
	}
	out.people = w.people
	for _, f := range list {
		at := regionOf(d, f.Box())
		if w.faces {
			out.Faces.List = append(out.Faces.List, faceOf(f, at))
		}
		if f.Template != nil {
			out.faces = append(out.faces, people.Face{Region: at, Template: people.Template(*f.Template)})
			*f.Template = [128]float32{}
		}
	}
	return nil
}

func faceOf(f measure.Face, at cull.Region) cull.Face {
	lids := evidence.Lids{Presence: f.Eyes.Presence, Right: f.Eyes.Right, Left: f.Eyes.Left, Width: f.Eyes.Width, Apart: f.Eyes.Apart}
	eyes, opening := lids.State()
	return cull.Face{
		Region: at, Score: f.Score, Presence: f.Eyes.Presence, Eyes: eyes, Opening: opening, EyeApart: f.Eyes.Apart,
		Sharpness: cull.Sharpness(f.Focus), Luma: f.Luma, Clipped: f.Clipped,
	}
}
