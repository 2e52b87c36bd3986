package render

import (
	"garner/preview/finished"
	"garner/preview/icc"
	"garner/preview/imprint"
	"garner/preview/resample"
)

// Cut is one file that is wanted of a picture.
type Cut struct {
	Size    resample.Size
	Space   icc.Space
	Chroma  imprint.Chroma
	Sharpen resample.Unsharp // Amount 0 = not at all
	Stamper *imprint.Stamper // nil = no stamp
	Quality int              // 1 to 100
	Limit   int              // most bytes of the file; 0 = none
	PPI     int              // pixels per inch; 0 = 300
	Meta    imprint.Meta     // with the Chain; Exif and the rest as they are to be written
}

// Result is what became of a Cut.
type Result struct {
	Bytes         []byte   // the file; nil if Err is not
	Width, Height int      // pixels, upright
	Quality       int      // that was taken
	Smaller       bool     // the picture has fewer pixels than the set wants
	Shortened     []string // of metadata, as imprint.Written says
	Err           error    // why there is no file
}

// Memory is about how many bytes Render holds at a time for a picture and its cuts.
func (r *Renderer) Memory(p *finished.Picture, cuts []Cut) int64 {
	n := p.Memory() + int64(p.Width)*int64(p.Channels())*2
	for i := range cuts {
		c := &cuts[i]
		plan, err := c.Size.Plan(p.Width, p.Height, p.Orientation)
		if err != nil {
			continue
		}
		pixels := int64(plan.W) * int64(plan.H)
		n += pixels / 2 // the file
		if conv, err := r.shared.converter(p, c.Space); err == nil && p.Format == finished.JPEG {
			if one := (&cutting{cut: c, plan: plan, conv: conv}); c.Stamper == nil && c.Chroma == imprint.Full && one.keeps(p) {
				continue
			}
		}
		if c.Chroma == imprint.Half {
			n += pixels * 3 / 2
		} else {
			n += pixels * 3
		}
		if p.Orientation > 1 {
			n += pixels * 3
		}
		n += int64(p.Width) * 12 * 16 // rows of the feed
	}
	return n
}
