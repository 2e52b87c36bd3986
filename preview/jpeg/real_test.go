package jpeg

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"garner/testdata/testneed"
)

// real is a JPEG that a camera or another program made.
type real struct {
	name          string
	src           []byte
	width, height int
}

// reals reads the JPEGs that testdata/real.txt lists, as far as they are there.
func reals(t testing.TB) []real {
	t.Helper()
	list, err := os.ReadFile("testdata/real.txt")
	if err != nil {
		t.Fatal(err)
	}
	var out []real
	dirs := map[string]string{}
	if dir := os.Getenv("GARNER_SAMPLES"); dir != "" {
		dirs["samples"] = dir
	}
	for line := range strings.Lines(string(list)) {
		fields := strings.Split(strings.TrimSpace(line), "\t")
		if len(fields) != 4 {
			continue // the comment
		}
		dir, known := dirs[fields[2]]
		if !known {
			if fields[2] == "samples" {
				continue
			}
			dir = testneed.Module(t, fields[2])
			dirs[fields[2]] = dir
		}
		b, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(fields[3])))
		if err != nil {
			t.Fatal(err)
		}
		r := real{name: fields[3]}
		offset := 0
		if _, err := fmt.Sscanf(fields[0]+" "+fields[1], "%dx%d %d", &r.width, &r.height, &offset); err != nil || offset >= len(b) {
			t.Fatalf("%q: %v", line, err)
		}
		r.name, r.src = fmt.Sprint(r.name, "@", offset), b[offset:]
		out = append(out, r)
	}
	return out
}

// psnr compares luma in decibels; equal pictures are 99.
func psnr(a, b *Image) float64 {
	sum := 0.0
	for y := range a.Height {
		for x := range a.Width {
			d := float64(a.Y[y*a.YStride+x]) - float64(b.Y[y*b.YStride+x])
			sum += d * d
		}
	}
	if sum == 0 {
		return 99
	}
	return 10 * math.Log10(255*255*float64(a.Width*a.Height)/sum)
}

// Luma is what djpeg of libjpeg-turbo makes of it: bit by bit at full size and
// at an eighth. Colour is the same too, where djpeg is told to repeat chroma
// samples instead of smoothing between them.
//
// At a half and a quarter it is the mean of the full decode, to 55 dB, and what
// djpeg has, to 50 dB. Known differences to djpeg: it takes means over samples
// before they are clamped, which in a few pictures of hard contrast is itself
// less than 51 dB from the mean; and over what lies beyond the picture, so only
// whole squares of samples are compared with it.
func TestRealPicturesAsDjpegHasThem(t *testing.T) {
	testneed.Tool(t, "djpeg")
	exact, clamped := 0, 0
	d := NewDecoder()
	for _, r := range reals(t) {
		large := r.width*r.height > 3e6
		if large && testing.Short() {
			continue
		}
		full := &Image{}
		for _, n := range []int{1, 2, 4, 8} {
			want := pgm(t, pipe(t, r.src, "djpeg", "-grayscale", "-dct", "int", "-scale", fmt.Sprintf("1/%d", n)))
			got, err := d.Decode(r.src, Options{Scale: n})
			if err != nil {
				t.Errorf("%s at 1/%d: %v", r.name, n, err)
				continue
			}
			if got.Width != want.Width || got.Height != want.Height || got.Truncated || got.Width != ceilDiv(r.width, n) {
				t.Errorf("%s at 1/%d: %dx%d, truncated %v; djpeg has %dx%d", r.name, n, got.Width, got.Height, got.Truncated, want.Width, want.Height)
				continue
			}
			switch n {
			case 1:
				full = got
				fallthrough
			case 8:
				if db := psnr(got, want); db < 99 {
					t.Errorf("%s at 1/%d: %.1f dB", r.name, n, db)
					continue
				}
				exact += n & 1
			default:
				box := &Image{}
				reduce(box, full, n)
				if db := psnr(got, box); db < 55 {
					t.Errorf("%s at 1/%d: %.1f dB from the mean", r.name, n, db)
				}
				got.Width, got.Height = r.width/n, r.height/n
				want.Width, want.Height, box.Width, box.Height = got.Width, got.Height, got.Width, got.Height
				if got.Width*got.Height == 0 {
					continue
				}
				if psnr(box, want) < 51 {
					clamped++
				} else if db := psnr(got, want); db < 50 {
					t.Errorf("%s at 1/%d: %.1f dB from djpeg", r.name, n, db)
				}
			}
			if n == 1 && !large && !got.Grey() {
				asDjpegInColour(t, r.name, got, pipe(t, r.src, "djpeg", "-rgb", "-nosmooth", "-dct", "int"))
			}
		}
	}
	t.Logf("%d pictures are the same; in %d reductions djpeg is far from the mean", exact, clamped)
	if exact < 50 && !testing.Short() {
		t.Errorf("only %d pictures", exact)
	}
	if clamped > exact/10 {
		t.Errorf("%d reductions of %d pictures were not held against djpeg", clamped, exact)
	}
}

// asDjpegInColour holds got against a PPM.
func asDjpegInColour(t *testing.T, name string, got *Image, ppm []byte) {
	t.Helper()
	head := fmt.Sprintf("P6\n%d %d\n255\n", got.Width, got.Height)
	pix, ok := bytes.CutPrefix(ppm, []byte(head))
	if !ok || len(pix) != 3*got.Width*got.Height {
		t.Errorf("%s: no PPM of that size: %q", name, ppm[:min(len(ppm), 20)])
		return
	}
	for y := range got.Height {
		for x := range got.Width {
			c := y/got.SubY*got.CStride + x/got.SubX
			r, g, b := jfifRGB(int(got.Y[y*got.YStride+x]), int(got.Cb[c]), int(got.Cr[c]))
			if p := pix[3*(y*got.Width+x):]; p[0] != r || p[1] != g || p[2] != b {
				t.Errorf("%s: %d,%d is %d %d %d, djpeg has %v", name, x, y, r, g, b, p[:3])
				return
			}
		}
	}
}

// jfifRGB is the conversion of JFIF 1.02 with 16 bits after the point, green
// rounded once: as libjpeg has it.
func jfifRGB(y, cb, cr int) (r, g, b uint8) {
	clamp := func(v int) uint8 { return uint8(max(0, min(255, v))) }
	cb, cr = cb-128, cr-128
	return clamp(y + (91881*cr+32768)>>16), clamp(y + (-22554*cb-46802*cr+32768)>>16), clamp(y + (116130*cb+32768)>>16)
}
