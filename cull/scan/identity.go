package scan

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"path"
	"strings"

	"garner/cull"
)

// facts are what decides whether two files show the same exposure.
type facts struct {
	class   class
	kind    string
	model   string
	serial  string
	taken   cull.Stamp
	counter int64
	soft    string
	size    int64
	head    string
	dir     string
	stem    string // lower case
}

func factsOf(it item, c class) facts {
	f := facts{class: c, kind: kindOf(it.file), dir: path.Dir(it.file.Original()), stem: stemOf(it.file.Original())}
	f.size, f.head = it.file.Content()
	if it.loc != nil {
		m := it.loc.Meta
		f.model, f.serial, f.counter, f.soft = m.Model, m.Serial, m.Counter, m.Software
		f.taken = stampOf(m.Taken)
	}
	return f
}

// kindOf is the kind of a file, or of the original that a small picture stands for.
func kindOf(f cull.File) string { return cmp.Or(f.Of.Kind, f.Kind) }

// factsOfFrame are the facts of a frame's main file as the catalogue knows them.
func factsOfFrame(fr cull.Frame) facts {
	main := fr.Files[0]
	c := classRaw
	switch fr.Kind {
	case "JPEG", "TIFF":
		c = classJPEG
	case "HEIF":
		c = classHEIF
	case "":
		c = cameraExt[entry{path: main.Original()}.ext()]
	}
	size, head := main.Content()
	return facts{class: c, kind: kindOf(main), model: fr.Shot.Model, serial: fr.Shot.Serial, taken: fr.Taken, counter: fr.Shot.Counter,
		soft: fr.Shot.Software, size: size, head: head, dir: path.Dir(main.Original()), stem: stemOf(main.Original())}
}

func stemOf(p string) string {
	b := path.Base(p)
	return strings.ToLower(strings.TrimSuffix(b, path.Ext(b)))
}

// identities are the names of the exposure that these facts give, strongest
// first: serial, time, sub-second and counter; model, time and counter; size
// and head hash. An empty file has only its name to tell it from another.
func (f facts) identities() []string {
	var ids []string
	if f.taken.Known() {
		when := f.taken.Wall.Format("2006-01-02T15:04:05") + "." + f.fraction()
		if f.serial != "" && (f.taken.Digits > 0 || f.counter != 0) {
			ids = append(ids, fmt.Sprintf("exposure|%s|%s|%s|%d", f.model, f.serial, when, f.counter))
		}
		if f.model != "" && f.counter != 0 {
			ids = append(ids, fmt.Sprintf("counted|%s|%s|%d", f.model, when, f.counter))
		}
	}
	switch {
	case f.head != "":
		ids = append(ids, fmt.Sprintf("content|%d|%s", f.size, f.head))
	default:
		ids = append(ids, fmt.Sprintf("name|%d|%s/%s|%d", f.size, f.dir, f.stem, f.class))
	}
	return ids
}

// fraction is the sub-second as the digits the file carried.
func (f facts) fraction() string {
	if f.taken.Digits == 0 {
		return ""
	}
	return fmt.Sprintf("%09d", f.taken.Wall.Nanosecond())[:min(f.taken.Digits, 9)]
}

// idOf hashes an identity to a frame id.
func idOf(identity string) cull.ID {
	sum := sha256.Sum256([]byte("garner frame\n" + identity))
	return cull.ID(hex.EncodeToString(sum[:8]))
}

// sameExposure decides whether two files come from one shutter press. What
// both say must not differ; beyond that, time alone is not enough, because a
// burst has many frames a second: a counter, a sub-second or, to break the
// tie, the name must agree as well. Two files of one class (two raws) need
// more than a raw and its JPEG do. In doubt they are two: a frame too many is
// seen by everybody, a frame hidden behind another by nobody.
func sameExposure(a, b facts) bool {
	if a.sameContent(b) {
		return true
	}
	if differ(a, b) {
		return false
	}
	named := a.stem == b.stem
	if !a.taken.Known() || !b.taken.Known() {
		// One of them cannot say: files of one DCF object lie in one folder
		// under one name (DCF 2.0).
		return named && a.dir == b.dir && a.class != b.class
	}
	subsec := a.taken.Digits > 0 && b.taken.Digits > 0
	if a.model == "" || b.model == "" {
		return named && a.class != b.class
	}
	counted := a.counter != 0 && b.counter != 0
	serials := a.serial != "" && b.serial != ""
	telling := subsec && a.telling() && b.telling()
	if a.class == b.class {
		return counted && (named || telling || a.size == b.size) || named && subsec && (telling || serials)
	}
	return counted || telling && serials || named
}

// differ reports that two files say different things about what took them or when.
func differ(a, b facts) bool {
	unlike := func(x, y string) bool { return x != "" && y != "" && x != y }
	if unlike(a.serial, b.serial) || unlike(a.model, b.model) || a.counter != 0 && b.counter != 0 && a.counter != b.counter {
		return true
	}
	return a.taken.Known() && b.taken.Known() &&
		(a.taken.Wall.Unix() != b.taken.Wall.Unix() || a.taken.Digits > 0 && b.taken.Digits > 0 && !sameFraction(a.taken, b.taken))
}

// sameContent reports equal bytes, as far as they were read. Files that nothing
// could be made of are often equal without being one exposure: a failing card
// returns the same filler for many. Their name must agree too.
func (f facts) sameContent(g facts) bool {
	return f.head != "" && f.head == g.head && f.size == g.size && (f.kind != "" || f.stem == g.stem)
}

// telling reports a sub-second fine enough to tell the frames of a burst apart.
// Some bodies write 00 into every file (common practice), which tells nothing.
func (f facts) telling() bool { return f.taken.Digits >= 2 && f.taken.Wall.Nanosecond() != 0 }

// sameFraction compares two sub-seconds to the digits that both carry: a raw
// may say .130 where its JPEG says .13.
func sameFraction(a, b cull.Stamp) bool {
	step := int64(math.Pow10(9 - min(a.Digits, b.Digits, 9)))
	return int64(a.Wall.Nanosecond())/step == int64(b.Wall.Nanosecond())/step
}
