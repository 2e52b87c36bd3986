package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"image"
	"image/jpeg"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"garner/preview/build"
)

// TestMain lets the scripts run this test binary as the program garner.
func TestMain(m *testing.M) {
	if os.Getenv("GARNER_TEST_AS_PROGRAM") == "1" {
		main()
	}
	testscript.Main(m, map[string]func(){
		"garner": func() { os.Exit(run(context.Background(), os.Args[1:], system())) },
	})
}

// TestScripts is the specification of the commands: testdata/script/*.txtar.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "../../testdata/script",
		Setup: func(e *testscript.Env) error {
			e.Setenv("USER", "anna")
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"camera":  scriptCamera,
			"corrupt": scriptCorrupt,
			"broken":  scriptBroken,
			"faces":   scriptFaces,
		},
		RequireExplicitExec: true,
		UpdateScripts:       os.Getenv("UPDATE_SCRIPTS") != "",
	})
}

// scriptCamera makes a camera file: camera PATH [key=value]…, with the keys
// serial, at (2026-06-13T14:02:05.10, none, or zero for 0000:00:00), shade,
// rating, orientation and preview (none or cut).
func scriptCamera(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) == 0 {
		ts.Fatalf("usage: camera PATH [key=value]...")
	}
	opt := map[string]string{"serial": "1001", "at": "2026-06-13T14:02:05.10", "shade": "60"}
	for _, a := range args[1:] {
		k, v, _ := strings.Cut(a, "=")
		opt[k] = v
	}
	data, err := cameraFile(filepath.Ext(args[0]), opt)
	ts.Check(err)
	path := ts.MkAbs(args[0])
	ts.Check(os.MkdirAll(filepath.Dir(path), 0o755))
	ts.Check(os.WriteFile(path, data, 0o644))
}

func cameraFile(ext string, opt map[string]string) ([]byte, error) {
	when := opt["at"]
	if when == "none" || when == "zero" {
		when = "2001-01-01T01:01:01.10"
	}
	at, err := time.Parse("2006-01-02T15:04:05.99", when)
	if err != nil {
		return nil, err
	}
	shade, err := strconv.Atoi(opt["shade"])
	if err != nil {
		return nil, err
	}
	rating, _ := strconv.Atoi(opt["rating"])
	orientation, _ := strconv.Atoi(opt["orientation"])
	s := build.Shot{
		Make: "Lumora", Model: "Lumora Five", Serial: opt["serial"], Rating: rating, Orientation: orientation,
		Taken:   build.Clock{Wall: at, Digits: 2, Zone: 120, HasZone: true},
		Seconds: build.Rational{Num: 1, Den: 250}, FNumber: build.Rational{Num: 28, Den: 10}, ISO: 800, Width: 640, Height: 480,
	}
	if opt["at"] == "none" {
		s.Taken = build.Clock{}
	}
	p := build.Pictures{Full: pattern(640, 480, shade), Thumb: pattern(160, 120, shade)}
	var data []byte
	switch strings.ToLower(ext) {
	case ".jpg":
		data, err = build.JPEG(s, p, false)
	case ".cr3":
		data, err = build.CR3(s, p)
	case ".raf":
		data, err = build.RAF(s, p)
	default:
		data, err = build.DNG(s, p, binary.LittleEndian)
	}
	if opt["at"] == "zero" {
		data = bytes.ReplaceAll(data, []byte("2001:01:01 01:01:01"), []byte("0000:00:00 00:00:00"))
	}
	switch opt["preview"] {
	case "cut":
		data = data[:len(data)/2]
	case "none":
		data = bytes.ReplaceAll(data, []byte{0xFF, 0xD8, 0xFF}, []byte{0, 0, 0})
	}
	return data, err
}

// pattern is a picture that looks different for each shade.
func pattern(w, h, shade int) []byte {
	m := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio420)
	for y := range h {
		for x := range w {
			m.Y[y*m.YStride+x] = uint8(40 + (x*(shade%7+1)*255/w+y*(shade%5+1)*255/h)%180)
		}
	}
	for i := range m.Cb {
		m.Cb[i], m.Cr[i] = 120, uint8(110+shade%40)
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, nil); err != nil {
		panic(fmt.Sprint("encoding a test picture: ", err))
	}
	return b.Bytes()
}

// scriptCorrupt damages a file: corrupt PATH truncate|flip OFFSET.
func scriptCorrupt(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: corrupt PATH truncate|flip OFFSET")
	}
	path := ts.MkAbs(args[0])
	off, err := strconv.ParseInt(args[2], 10, 64)
	ts.Check(err)
	if args[1] == "truncate" {
		ts.Check(os.Truncate(path, off))
		return
	}
	data, err := os.ReadFile(path)
	ts.Check(err)
	data[off] ^= 0xff
	ts.Check(os.WriteFile(path, data, 0o644))
}
