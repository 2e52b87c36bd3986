package testterm

import (
	"cmp"
	"image"
	"slices"
)

// Image is a picture that was transmitted, with the places it is shown at.
type Image struct {
	ID, Number uint32
	Pix        *image.NRGBA
	Placements []Placement
}

// Placement is one showing of a picture (kitty graphics protocol,
// "Controlling displayed image layout").
type Placement struct {
	Image, ID uint32
	Virtual   bool            // shown where placeholder cells stand
	Area      image.Rectangle // in cells; of a virtual one only the size counts
	Source    image.Rectangle // the part of the picture's pixels
	Z         int
}

// imageStore is the pictures of one screen, in order of arrival.
type imageStore struct {
	images []*Image
	bytes  int
	unseen uint32 // ids the terminal gave by itself, counted down
}

// maxStored bounds the pixels of one screen's pictures, as kitty's quota does.
const maxStored = 320 << 20

func newImageStore() *imageStore { return &imageStore{unseen: 1<<32 - 1} }

func (s *imageStore) find(id uint32) *Image {
	for _, im := range s.images {
		if im.ID == id {
			return im
		}
	}
	return nil
}

// numbered is the newest picture with that number.
func (s *imageStore) numbered(number uint32) *Image {
	for _, im := range slices.Backward(s.images) {
		if im.Number == number {
			return im
		}
	}
	return nil
}

// add stores a picture. One with a taken id replaces the old one and all its
// placements. Over the quota pictures go that are shown nowhere, the oldest
// first, then others.
func (s *imageStore) add(im *Image) {
	if im.ID == 0 {
		im.ID = s.unseen
		s.unseen--
	}
	s.remove(im.ID)
	s.images = append(s.images, im)
	s.bytes += len(im.Pix.Pix)
	for s.bytes > maxStored && len(s.images) > 1 {
		s.remove(s.oldest().ID)
	}
}

func (s *imageStore) oldest() *Image {
	for _, im := range s.images[:len(s.images)-1] {
		if len(im.Placements) == 0 {
			return im
		}
	}
	return s.images[0]
}

func (s *imageStore) remove(id uint32) {
	s.images = slices.DeleteFunc(s.images, func(im *Image) bool {
		if im.ID != id {
			return false
		}
		s.bytes -= len(im.Pix.Pix)
		return true
	})
}

// place shows a picture; a placement with the same id moves.
func (s *imageStore) place(im *Image, p Placement) {
	if p.ID != 0 {
		im.Placements = slices.DeleteFunc(im.Placements, func(old Placement) bool { return old.ID == p.ID })
	}
	if len(im.Placements) < 10000 {
		im.Placements = append(im.Placements, p)
	}
}

// unplace takes placements away, and with free the data of every picture that
// is shown nowhere any more.
func (s *imageStore) unplace(free bool, match func(*Image, Placement) bool) {
	for _, im := range slices.Clone(s.images) {
		before := len(im.Placements)
		im.Placements = slices.DeleteFunc(im.Placements, func(p Placement) bool { return match(im, p) })
		if free && before > 0 && len(im.Placements) == 0 {
			s.remove(im.ID)
		}
	}
}

// clear takes away what is shown in an area; virtual placements have no place.
func (s *imageStore) clear(area image.Rectangle) {
	s.unplace(false, func(_ *Image, p Placement) bool { return !p.Virtual && p.Area.Overlaps(area) })
}

// scroll moves the placements that lie wholly between the margins; those that
// leave are gone.
func (s *imageStore) scroll(top, bottom, n int) {
	for _, im := range s.images {
		im.Placements = slices.DeleteFunc(im.Placements, func(p Placement) bool {
			moved := p.Area.Sub(image.Pt(0, n))
			return !p.Virtual && p.Area.Min.Y >= top && p.Area.Max.Y <= bottom+1 && (moved.Max.Y <= top || moved.Min.Y > bottom)
		})
		for i, p := range im.Placements {
			if !p.Virtual && p.Area.Min.Y >= top && p.Area.Max.Y <= bottom+1 {
				im.Placements[i].Area = p.Area.Sub(image.Pt(0, n))
			}
		}
	}
}

func (s *imageStore) list() []Image {
	out := make([]Image, len(s.images))
	for i, im := range s.images {
		out[i] = *im
		out[i].Placements = slices.Clone(im.Placements)
	}
	slices.SortFunc(out, func(a, b Image) int { return cmp.Compare(a.ID, b.ID) })
	return out
}

// Images returns the pictures the present screen's store holds, by id.
func (g *Grid) Images() []Image { return g.scr().images.list() }
