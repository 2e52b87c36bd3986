package jpeg

import (
	"bytes"
	"fmt"
	"image"
	stdjpeg "image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// The benchmarks take the best of several rounds, in which everything that is
// compared runs once, and processor time where it can be had: on a busy machine
// that is what repeats. Run them as
//
//	taskset -c 1 go test ./preview/jpeg -run '^$' -bench 'Decode$|Part' -benchtime 10x -cpu 1

// camera24 is a picture of 6000x4000 as a camera wrote it, 4:2:2.
func camera24(b *testing.B) []byte {
	for _, r := range reals(b) {
		if r.width == 6000 && r.height == 4000 {
			return r.src
		}
	}
	b.Skip("needs the sample picture of 24 MP")
	return nil
}

// dense24 is camera24 with 4:2:0 chroma at a quality of 95.
func dense24(b *testing.B) []byte { return enlarged(b, camera24(b), 6000, 4000) }

// enlarged is a picture of another size, with 4:2:0 chroma at a quality of 95.
func enlarged(b *testing.B, src []byte, w, h int) []byte {
	m, err := Decode(src, Options{})
	if err != nil {
		b.Fatal(err)
	}
	out := &Image{}
	out.Reset(w, h, 2, 2, false)
	stretch(out.Y, out.YStride, w, h, m.Y, m.YStride, m.Width, m.Height)
	mw, mh := m.ChromaSize()
	ow, oh := out.ChromaSize()
	stretch(out.Cb, out.CStride, ow, oh, m.Cb, m.CStride, mw, mh)
	stretch(out.Cr, out.CStride, ow, oh, m.Cr, m.CStride, mw, mh)
	coded, err := AppendEncode(nil, out, 95)
	if err != nil {
		b.Fatal(err)
	}
	return coded
}

// stretch takes each sample from between four.
func stretch(dst []byte, ds, dw, dh int, src []byte, ss, sw, sh int) {
	for y := range dh {
		fy := y * (sh - 1) * 256 / dh
		for x := range dw {
			fx := x * (sw - 1) * 256 / dw
			at, u, v := fy>>8*ss+fx>>8, fx&255, fy&255
			top := int(src[at])*(256-u) + int(src[at+1])*u
			low := int(src[at+ss])*(256-u) + int(src[at+ss+1])*u
			dst[y*ds+x] = byte((top*(256-v) + low*v) >> 16)
		}
	}
}

// best times one run of each and keeps the shortest.
type best map[string]time.Duration

func (t best) note(name string, d time.Duration) {
	if old, ok := t[name]; !ok || d < old {
		t[name] = d
	}
}

func (t best) run(name string, f func()) {
	start := cpuTime()
	f()
	t.note(name, cpuTime()-start)
}

// djpeg notes what djpeg of libjpeg-turbo takes: as a process, to pixels and
// to luma alone.
func (t best) djpeg(b *testing.B, file string, scale int) {
	tool, err := exec.LookPath("djpeg")
	if err != nil {
		return
	}
	for name, what := range map[string]string{"djpeg": "-rgb", "djpeg-luma": "-grayscale"} {
		cmd := exec.Command(tool, what, "-dct", "int", "-scale", fmt.Sprintf("1/%d", scale), "-outfile", os.DevNull, file)
		if out, err := cmd.CombinedOutput(); err != nil {
			b.Fatalf("djpeg: %v: %s", err, out)
		}
		t.note(name, cmd.ProcessState.UserTime()+cmd.ProcessState.SystemTime())
	}
}

// turbo has tjbench of libjpeg-turbo decompress to planes, and notes its rate
// and what share of the time it had the processor.
func (t best) turbo(b *testing.B, file string, scale int) {
	tool, err := exec.LookPath("tjbench")
	if err != nil {
		return
	}
	cmd := exec.Command(tool, file, "-nowrite", "-yuv", "-warmup", "0.1", "-benchtime", "0.3", "-scale", fmt.Sprintf("1/%d", scale))
	start := time.Now()
	out, err := cmd.Output()
	if err != nil {
		b.Fatalf("tjbench: %v: %s", err, out)
	}
	share := float64(cmd.ProcessState.UserTime()+cmd.ProcessState.SystemTime()) / float64(time.Since(start))
	for line := range strings.Lines(string(out)) {
		var fps float64
		if what, rate, ok := strings.Cut(line, "Frame rate:"); ok && strings.HasPrefix(what, "Decomp to YUV") {
			if _, err := fmt.Sscan(rate, &fps); err != nil || fps <= 0 {
				b.Fatalf("tjbench: %q", line)
			}
			t.note("tjbench", time.Duration(float64(time.Second)/fps*min(1, share)))
		}
	}
}

// report gives the time of "ours", and what part it is of the others.
func (t best) report(b *testing.B) {
	runtime.UnlockOSThread()
	ours := t["ours"]
	b.ReportMetric(float64(ours.Microseconds())/1000, "ms")
	for name, d := range t {
		if name != "ours" {
			b.ReportMetric(float64(ours)/float64(d), "of-"+name)
		}
	}
	b.ReportMetric(0, "ns/op")
}

func BenchmarkDecode(b *testing.B) {
	for _, s := range []struct {
		name string
		make func(*testing.B) []byte
	}{{"camera24-422", camera24}, {"dense24-420", dense24}} {
		src := s.make(b)
		file := filepath.Join(b.TempDir(), "picture.jpg")
		if err := os.WriteFile(file, src, 0o600); err != nil {
			b.Fatal(err)
		}
		for _, scale := range []int{1, 2, 4, 8} {
			b.Run(fmt.Sprintf("%s/1:%d", s.name, scale), func(b *testing.B) {
				d, into := NewDecoder(), &Image{}
				t := best{}
				runtime.LockOSThread()
				for range b.N {
					t.run("ours", func() {
						if _, err := d.Decode(src, Options{Scale: scale, Into: into}); err != nil {
							b.Fatal(err)
						}
					})
					t.run("image/jpeg", func() {
						if _, err := stdjpeg.Decode(bytes.NewReader(src)); err != nil {
							b.Fatal(err)
						}
					})
					t.djpeg(b, file, scale)
					t.turbo(b, file, scale)
				}
				t.report(b)
			})
		}
	}
}

// BenchmarkPart is what a loupe shows of a picture of 45 MP.
func BenchmarkPart(b *testing.B) {
	src := enlarged(b, camera24(b), 8192, 5464)
	index, err := MakeIndex(src, nil)
	if err != nil {
		b.Fatal(err)
	}
	for name, corner := range map[string]image.Point{"middle": {3300, 2200}, "right": {6500, 4400}} {
		b.Run(name, func(b *testing.B) {
			d, into := NewDecoder(), &Image{}
			t := best{}
			runtime.LockOSThread()
			for range b.N {
				t.run("ours", func() {
					part := image.Rectangle{Max: image.Pt(1600, 1000)}.Add(corner)
					if _, err := d.Decode(src, Options{Crop: part, Index: index, Into: into}); err != nil {
						b.Fatal(err)
					}
				})
				t.run("image/jpeg", func() {
					if _, err := stdjpeg.Decode(bytes.NewReader(src)); err != nil {
						b.Fatal(err)
					}
				})
			}
			t.report(b)
		})
	}
}

// BenchmarkWorkers is the same decode on one core and on two.
func BenchmarkWorkers(b *testing.B) {
	src := camera24(b)
	index, err := MakeIndex(src, nil)
	if err != nil {
		b.Fatal(err)
	}
	for _, scale := range []int{1, 2, 4, 8} {
		for name, o := range map[string]Options{"in-line": {Workers: 2}, "index": {Workers: 2, Index: index}} {
			b.Run(fmt.Sprintf("%s/1:%d", name, scale), func(b *testing.B) {
				d, into, one := NewDecoder(), &Image{}, Options{Scale: scale}
				one.Into, o.Into, o.Scale = into, into, scale
				t := best{}
				runtime.LockOSThread()
				for range b.N {
					for who, o := range map[string]Options{"ours": o, "one-core": one} {
						start := time.Now() // of both cores
						if _, err := d.Decode(src, o); err != nil {
							b.Fatal(err)
						}
						t.note(who, time.Since(start))
					}
				}
				t.report(b)
			})
		}
	}
}
