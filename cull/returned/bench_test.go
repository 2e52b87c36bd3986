package returned

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"garner/cull"
	"garner/preview/jpeg"
	"garner/preview/pix"
)

// A wedding of 5,000 frames and 600 pictures.
func large() (k known, pictures []Picture) {
	r := rand.New(rand.NewPCG(1, 2))
	k.looks = map[cull.ID]pix.Looks{}
	for i := range 5000 {
		f := Frame{ID: cull.ID(fmt.Sprintf("%016x", i)), Name: fmt.Sprintf("A/IMG_%04d", i), Files: []string{fmt.Sprintf("A/IMG_%04d.CR3", i)}, Letter: "A",
			Taken: at(float64(i), 2), Moment: i / 4, Place: i, Width: 6000, Height: 4000, Looked: true}
		f.Corrected = f.Taken
		l := pix.Looks{Method: pix.LookMethod}
		for p := range l.Parts {
			l.Parts[p] = r.Uint64()
		}
		k.looks[f.ID] = l
		k.frames = append(k.frames, f)
	}
	for i := range 600 {
		p := Picture{Path: fmt.Sprintf("finished/0%03d-A-IMG_%04d-Edit.jpg", i, i*8), Taken: at(float64(i*8), 2)}
		for n := range likesMost {
			p.Likes = append(p.Likes, Like{k.frames[i*8+n/16].ID, float64(n), 1})
		}
		pictures = append(pictures, p)
	}
	return k, pictures
}

func BenchmarkFind(b *testing.B) {
	k, pictures := large()
	for range b.N {
		if t := Find(pictures, k.frames).Ties[0]; t.State != Tied {
			b.Fatalf("%+v", t)
		}
	}
}

// What a picture costs that was cropped: the hashes of where it may lie, and 5,000
// frames.
func BenchmarkCompare(b *testing.B) {
	k, _ := large()
	r := rand.New(rand.NewPCG(3, 4))
	m := &jpeg.Image{}
	m.Reset(256, 171, 1, 1, true)
	for i := range m.Y {
		m.Y[i] = byte(r.Uint32())
	}
	look, err := pix.Look(m)
	if err != nil {
		b.Fatal(err)
	}
	for range b.N {
		if _, err := k.compare(m, look); err != nil {
			b.Fatal(err)
		}
	}
}

// Names and times in numbers that a hostile folder may have do not make it slow.
func TestManyAlike(t *testing.T) {
	k, pictures := large()
	for i := range k.frames {
		k.frames[i].Taken, k.frames[i].Corrected = at(0, 0), at(0, 0)
		k.frames[i].Files = []string{"A/IMG_0001.CR3"}
	}
	pictures = pictures[:20]
	for i := range pictures {
		pictures[i].Path, pictures[i].Taken = fmt.Sprintf("finished/%d/IMG_0001.jpg", i), at(0, 0)
	}
	began := time.Now()
	for _, tie := range Find(pictures, k.frames).Ties {
		if tie.State != Open || len(tie.Nearest) > mostNearest {
			t.Fatalf("%+v", tie)
		}
	}
	if d := time.Since(began); d > 5*time.Second {
		t.Errorf("20 pictures take %v", d)
	}
}
