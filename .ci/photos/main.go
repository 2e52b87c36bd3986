// Command photos makes a folder of raw files round real photographs for measurements
// of what is measured: each holds one of them, enlarged to 24 megapixels and with
// noise so that its JPEG has the size and the structure of a camera's, and a screen
// size of 1620 pixels. Run it by file name:
//
//	go run .ci/photos/main.go DIR 300 PHOTO...
package main

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	stdjpeg "image/jpeg"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"github.com/disintegration/imaging"

	"garner/preview/build"
)

const wide, high = 6000, 4000

func main() {
	if len(os.Args) < 4 {
		fmt.Fprintln(os.Stderr, "usage: photos DIR COUNT PHOTO...")
		os.Exit(2)
	}
	count, err := strconv.Atoi(os.Args[2])
	if err == nil {
		err = fill(os.Args[1], count, os.Args[3:])
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "photos:", err)
		os.Exit(1)
	}
}

func fill(dir string, count int, photos []string) error {
	var full, screen [][]byte
	for i, path := range photos {
		m, err := imaging.Open(path)
		if err != nil {
			return err
		}
		large := noisy(imaging.Fill(m, wide, high, imaging.Center, imaging.CatmullRom), uint64(i))
		small := imaging.Resize(large, 1620, 1080, imaging.Box)
		for _, to := range []struct {
			list *[][]byte
			m    image.Image
			q    int
		}{{&full, large, 92}, {&screen, small, 85}} {
			var b bytes.Buffer
			if err := stdjpeg.Encode(&b, to.m, &stdjpeg.Options{Quality: to.q}); err != nil {
				return err
			}
			*to.list = append(*to.list, b.Bytes())
		}
	}
	if err := os.MkdirAll(filepath.Join(dir, "A"), 0o755); err != nil {
		return err
	}
	start := time.Date(2026, 6, 13, 9, 0, 0, 0, time.UTC)
	for i := range count {
		// Bursts of six at eight frames a second, one burst every twenty seconds.
		at := start.Add(time.Duration(i/6)*20*time.Second + time.Duration(i%6)*125*time.Millisecond)
		s := build.Shot{Make: "Testwerk", Model: "T24", Serial: "2401", Orientation: 1, Counter: int64(1000 + i), Width: wide, Height: high,
			Seconds: build.Rational{Num: 1, Den: 250}, FNumber: build.Rational{Num: 4, Den: 1}, ISO: 800, Taken: build.Clock{Wall: at, Digits: 3}}
		n := i / 6 % len(photos)
		raw, err := build.DNG(s, build.Pictures{Full: full[n], Screen: screen[n]}, binary.LittleEndian)
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(dir, "A", fmt.Sprintf("PHO_%04d.DNG", i+1)), raw, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// noisy adds what a sensor at ISO 800 adds, about two code values.
func noisy(m *image.NRGBA, seed uint64) *image.NRGBA {
	r := rand.New(rand.NewPCG(seed, 24))
	for y := range m.Rect.Dy() {
		for x := range m.Rect.Dx() {
			c := m.NRGBAAt(x, y)
			n := r.NormFloat64() * 2
			add := func(v uint8) uint8 { return uint8(min(max(float64(v)+n, 0), 255)) }
			m.SetNRGBA(x, y, color.NRGBA{add(c.R), add(c.G), add(c.B), 255})
		}
	}
	return m
}
