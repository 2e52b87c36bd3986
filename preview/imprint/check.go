package imprint

import (
	"bytes"
	"errors"
	"fmt"

	"garner/preview/icc"
	"garner/preview/jpeg"
)

// Check reads a file that Write made of m once and holds it against what it should
// be: its size, the profile, and the mean of each block of 8 by 8 samples. All
// coded data are read for that, and a block that is missing or in another place has
// another mean. A flipped bit that changes details of a block and nothing else is
// not seen: that the bytes on the disk are those of Written is for a sum to say.
// quality is that of Written.
func Check(b []byte, m *jpeg.Image, o Output, quality int) error {
	if !m.Valid() {
		return errors.New("there is no picture to check against")
	}
	info, err := jpeg.Config(bytes.NewReader(b), 0, int64(len(b)))
	if err != nil {
		return fmt.Errorf("what was written cannot be read: %w", err)
	}
	components := 3
	if m.Grey() {
		components = 1
	}
	if info.Width != m.Width || info.Height != m.Height || info.Components != components {
		return fmt.Errorf("what was written is a picture of %dx%d pixels in %d components, not of %dx%d in %d",
			info.Width, info.Height, info.Components, m.Width, m.Height, components)
	}
	profile, err := icc.FromJPEG(b)
	if err != nil || !bytes.Equal(profile, o.Profile) {
		return errors.New("what was written does not have the profile that it should have")
	}
	const scale = 8
	got, err := jpeg.Decode(b, jpeg.Options{Scale: scale, MaxPixels: m.Width * m.Height})
	switch {
	case err != nil:
		return fmt.Errorf("what was written cannot be read: %w", err)
	case got.Truncated || got.Grey() != m.Grey() || !got.Grey() && (got.SubX != m.SubX || got.SubY != m.SubY):
		return errors.New("what was written is not whole")
	}
	if err := sameMeans(got.Y, got.YStride, m.Y, m.YStride, m.Width, m.Height, tolerance(16, quality)); err != nil || m.Grey() {
		return err
	}
	w, h := m.ChromaSize()
	if err := sameMeans(got.Cb, got.CStride, m.Cb, m.CStride, w, h, tolerance(17, quality)); err != nil {
		return err
	}
	return sameMeans(got.Cr, got.CStride, m.Cr, m.CStride, w, h, tolerance(17, quality))
}

// tolerance is how far the mean of a block may move: half a step of its DC
// coefficient, which is eight times the mean, and what two roundings add. step is
// the first entry of the tables of T.81 K.1, on the quality scale of the encoder.
func tolerance(step, quality int) int {
	percent := 200 - 2*quality
	if quality < 50 {
		percent = 5000 / max(quality, 1)
	}
	q := min(max((step*percent+50)/100, 1), 255)
	return q/16 + 2
}

// sameMeans compares the samples of small, each of a block, with the means of the
// blocks of a plane of w by h. Beyond its edges a plane goes on as it ends.
func sameMeans(small []byte, smallStride int, plane []byte, stride, w, h, most int) error {
	sums := make([]int, (w+7)/8)
	for by := range (h + 7) / 8 {
		clear(sums)
		for k := range 8 {
			row := plane[min(8*by+k, h-1)*stride:][:w]
			for x := range w / 8 {
				p := row[8*x : 8*x+8 : 8*x+8]
				sums[x] += int(p[0]) + int(p[1]) + int(p[2]) + int(p[3]) + int(p[4]) + int(p[5]) + int(p[6]) + int(p[7])
			}
			if rest := w % 8; rest != 0 {
				for _, v := range row[w-rest:] {
					sums[w/8] += int(v)
				}
				sums[w/8] += (8 - rest) * int(row[w-1])
			}
		}
		for x, sum := range sums {
			if d := int(small[by*smallStride+x]) - (sum+32)/64; max(d, -d) > most {
				return fmt.Errorf("what was written shows another picture: block %d of row %d is %d off", x, by, max(d, -d))
			}
		}
	}
	return nil
}
