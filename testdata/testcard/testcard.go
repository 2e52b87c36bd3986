// Package testcard makes cards for tests: trees of small camera files that say who
// took them and when, in real containers, without pictures worth looking at; and
// the trees that are hard on a copier: very many files, very long paths.
package testcard

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/jpeg"
	"math/rand/v2"
	"os"
	"path"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"garner/preview/build"
)

// Shot is one exposure. The zero value of a field is a usable one.
type Shot struct {
	Model   string    // "" = Lumora Five
	Serial  string    // "" = 1001
	At      time.Time // as the body's clock showed it; zero = 2026-06-13 14:02:05.10
	Counter int64     // shutter counter; 0 = not written
	NoTime  bool      // write no capture time
	Soft    string    // Software tag
	Size    int       // bytes that the file is filled up to; 0 = as small as it gets
	Seed    uint64    // of the filling
}

// Start is when the frames of cards were taken unless a test says otherwise.
func Start() time.Time { return time.Date(2026, 6, 13, 14, 2, 5, 100e6, time.UTC) }

// File makes the camera file of a shot: .CR3, .DNG, .NEF, .ARW, .RAF or .JPG by the
// extension. The same shot gives the same bytes.
func File(t testing.TB, ext string, s Shot) []byte {
	t.Helper()
	if s.At.IsZero() {
		s.At = Start()
	}
	info := build.Shot{
		Make: "Lumora", Model: or(s.Model, "Lumora Five"), Serial: or(s.Serial, "1001"), Software: s.Soft, Orientation: 1,
		Taken:   build.Clock{Wall: s.At, Digits: 2, Zone: 120, HasZone: true},
		Seconds: build.Rational{Num: 1, Den: 250}, FNumber: build.Rational{Num: 28, Den: 10}, ISO: 800, Width: 96, Height: 64, Counter: s.Counter,
	}
	if s.NoTime {
		info.Taken = build.Clock{}
	}
	p := build.Pictures{Full: grey()}
	var data []byte
	var err error
	switch strings.ToUpper(ext) {
	case ".CR3":
		data, err = build.CR3(info, p)
	case ".NEF":
		data, err = build.NEF(info, p, binary.LittleEndian)
	case ".ARW":
		data, err = build.ARW(info, p, binary.LittleEndian)
	case ".RAF":
		data, err = build.RAF(info, p)
	case ".JPG":
		data, err = build.JPEG(info, p, false)
	default:
		data, err = build.DNG(info, p, binary.LittleEndian)
	}
	if err != nil {
		t.Fatal(err)
	}
	// All of these layouts lead by offsets, so that what follows the last part
	// disturbs no reader.
	if n := s.Size - len(data); n > 0 {
		seed := fmt.Sprint(s.Seed, info.Serial, s.At.UnixNano(), s.Counter)
		data = append(data, Noise(seed, n)...)
	}
	return data
}

func or(s, instead string) string {
	if s == "" {
		return instead
	}
	return s
}

// grey is a small grey picture.
var grey = sync.OnceValue(func() []byte {
	m := image.NewGray(image.Rect(0, 0, 96, 64))
	for i := range m.Pix {
		m.Pix[i] = uint8(i * 7)
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, nil); err != nil {
		panic("testcard: encoding a grey picture: " + err.Error())
	}
	return b.Bytes()
})

// Noise is n bytes without holes and repetitions, the same for the same seed.
func Noise(seed string, n int) []byte {
	var key [32]byte
	copy(key[:], seed)
	for i := len(key); i < len(seed); i++ {
		key[i%len(key)] ^= seed[i]
	}
	b := make([]byte, n)
	rand.NewChaCha8(key).Read(b) // never fails
	return b
}

// Run are frames that one body takes one after the other.
type Run struct {
	Folder string   // "DCIM/100LMRFV"
	First  int      // number of the first
	Count  int      // frames
	Ext    []string // files of each frame; nil = .CR3
	Shot   Shot     // of the first frame; the following are a minute and a count later each
}

// Put stores one file, by a "/"-separated path.
type Put func(name string, data []byte, at time.Time)

// Card puts the files of runs, named LMR_0001.CR3 and so on, and returns their
// contents by path.
func Card(t testing.TB, put Put, runs ...Run) map[string][]byte {
	t.Helper()
	files := map[string][]byte{}
	for _, r := range runs {
		if r.Ext == nil {
			r.Ext = []string{".CR3"}
		}
		if r.Shot.At.IsZero() {
			r.Shot.At = Start()
		}
		for i := range r.Count {
			s := r.Shot
			s.At = s.At.Add(time.Duration(i) * time.Minute)
			if s.Counter > 0 {
				s.Counter += int64(i)
			}
			for _, ext := range r.Ext {
				name := path.Join(r.Folder, fmt.Sprintf("LMR_%04d%s", r.First+i, ext))
				files[name] = File(t, ext, s)
				put(name, files[name], s.At)
			}
		}
	}
	return files
}

// Disk puts files below a folder, with times of 2 s as on FAT.
func Disk(t testing.TB, root string) Put {
	return func(name string, data []byte, at time.Time) {
		t.Helper()
		full := filepath.Join(root, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(full), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(full, data, 0o644); err != nil {
			t.Fatal(err)
		}
		at = at.Truncate(2 * time.Second)
		if err := os.Chtimes(full, at, at); err != nil {
			t.Fatal(err)
		}
	}
}

// Many puts n tiny files of different content, 999 to a folder of a card as DCF
// 2.0 (CIPA DC-009) §3.3 allows.
func Many(put Put, n int) {
	for i := range n {
		put(fmt.Sprintf("DCIM/%03dTINYS/TINY%04d.DAT", 100+i/999, i%999+1), fmt.Appendf(nil, "file %d of many\n", i), Start())
	}
}

// LongPath is a relative path of n characters whose elements every file system takes.
func LongPath(n int, ext string) string {
	const element = 60
	var b strings.Builder
	for n-b.Len() > element+len(ext)+4 {
		b.WriteString(strings.Repeat("long folder ", element/12) + "/")
	}
	b.WriteString(strings.Repeat("x", n-b.Len()-len(ext)) + ext)
	return strings.ReplaceAll(b.String(), " /", "_/")
}
