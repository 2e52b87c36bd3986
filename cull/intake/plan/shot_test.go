package plan

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"path"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/scan"
)

// made is a file of a test. The zero value of a field is a usable one.
type made struct {
	path    string
	serial  string // of the body; "" = 1001, "-" = the file does not say
	n       int    // number of the exposure: a second and a counter later each
	size    int64  // 0 = by kind
	soft    string
	tail    string // other ends under an equal head
	head    string // other bytes altogether
	err     error
	broken  bool // a camera's file of which nothing can be made
	mod     time.Duration
	counter bool // written
}

var kinds = map[string]string{".CR3": "CR3", ".DNG": "DNG", ".NEF": "NEF", ".JPG": "JPEG", ".HIF": "HEIF", ".THM": "JPEG"}

// start is when exposure 0 was taken.
var start = time.Date(2026, 6, 13, 14, 2, 5, 130e6, time.UTC)

func (m made) kind() string { return kinds[strings.ToUpper(path.Ext(m.path))] }

// shot is what scan.Look would say of a file.
func (m made) shot(t testing.TB) scan.Exposure {
	t.Helper()
	if m.kind() == "" || m.err != nil || m.broken {
		return scan.Exposure{Class: scan.NoPicture}
	}
	s := cull.Shot{Make: "Lumora", Model: "Lumora Five", Serial: m.serial, Software: m.soft}
	switch m.serial {
	case "":
		s.Serial = "1001"
	case "-":
		s.Serial, s.Model, s.Make = "", "", ""
	}
	f := cull.Frame{Shot: s, Taken: cull.Stamp{Wall: start.Add(time.Duration(m.n) * time.Second), Digits: 3}}
	if m.serial != "-" {
		f.Body = "serial:Lumora Five:" + s.Serial
	} else {
		f.Taken = cull.Stamp{}
	}
	if m.counter {
		f.Shot.Counter = int64(1000 + m.n)
	}
	sum := sha256.Sum256([]byte("head" + m.bytes()))
	return scan.ExposureOf(f, cull.File{Path: m.path, Kind: m.kind(), Size: m.bigness(), Head: hex.EncodeToString(sum[:])})
}

func (m made) bytes() string {
	if m.kind() == "" {
		return m.head
	}
	return fmt.Sprint(m.kind(), m.serial, m.n, m.soft, m.head, m.size)
}

func (m made) bigness() int64 {
	switch {
	case m.size > 0:
		return m.size
	case m.kind() == "":
		return int64(1000 + len(m.head))
	}
	return int64(1000000 + 1000*m.n + len(m.kind()))
}

func (m made) ends() [32]byte {
	return sha256.Sum256([]byte(fmt.Sprint("ends", m.bytes(), m.tail, m.broken, m.bigness())))
}

func (m made) file(t testing.TB) File {
	f := File{Path: m.path, Size: m.bigness(), Mod: start.Add(time.Duration(m.n)*time.Second + m.mod), Shot: m.shot(t), Err: m.err}
	if m.err == nil {
		f.Ends = m.ends()
	}
	return f
}

func (m made) have(t testing.TB) Have {
	return Have{Path: m.path, Size: m.bigness(), Ends: m.ends(), HasEnds: true, Shot: m.shot(t)}
}

// card is a source with a DCIM folder, drive one without.
func card(t testing.TB, files ...made) Source {
	return Source{Name: "card", DCIM: true, Files: filesOf(t, files)}
}
func drive(t testing.TB, files ...made) Source {
	return Source{Name: "drive", Files: filesOf(t, files)}
}

func filesOf(t testing.TB, files []made) []File {
	var out []File
	for _, m := range files {
		out = append(out, m.file(t))
	}
	return out
}

func jobOf(t testing.TB, files ...made) []Have {
	var out []Have
	for _, m := range files {
		out = append(out, m.have(t))
	}
	return out
}

// letters of the bodies 1001, 2002 and 3003.
var letters = map[string]string{"serial:Lumora Five:1001": "A", "serial:Lumora Five:2002": "B", "serial:Lumora Five:3003": "C"}

var (
	actionNames = map[Action]string{Copy: "copy", Known: "known", Aside: "aside", Leave: "leave"}
	noteNames   = map[Note]string{NewRound: "round", NewName: "name", Version: "version", TwinBroken: "twin broken", TwinUnsure: "twin unsure", Healed: "healed"}
)

// lines tells a plan, a line for each step.
func lines(sources []Source, p Plan) []string {
	var out []string
	for _, st := range p.Steps {
		s := fmt.Sprintf("%d:%s %s %s", st.Source, sources[st.Source].Files[st.File].Path, actionNames[st.Action], st.To)
		if st.After >= 0 {
			s += fmt.Sprintf(" after %d", st.After)
		}
		if st.Twin >= 0 {
			s += fmt.Sprintf(" twin %d", st.Twin)
		}
		for _, n := range st.Notes {
			s += ", " + noteNames[n]
		}
		if st.Other.Path != "" {
			s += fmt.Sprintf(" (%d:%s)", st.Other.Source, st.Other.Path)
		}
		out = append(out, strings.TrimSuffix(s, " "))
	}
	return out
}
