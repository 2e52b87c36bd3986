package plan

import (
	"path"
	"strings"
)

// smallest is the size in bytes from which a file that is no picture is known by
// its content alone. What is smaller lives by its name: an index, a note, a
// sidecar is worth nothing under another.
const smallest = 64 << 10

// answers are the files with a place, by content, that may answer for a file of a
// source that is no picture. Each answers for one file of a source: two equal
// sidecars belong to two pictures.
type answers struct {
	same map[sameKey]*queue
}

// sameKey brings files of one content together that lie at one path but for the
// round (kind 'p'), that have one name ('n'), or anything ('c'). Those below
// clips/ and the others are apart.
type sameKey struct {
	kind    byte
	clips   bool
	content content
	text    string
}

// queue lists files in the order in which they answer.
type queue struct {
	list   []*held
	at     int
	source int
}

func newAnswers() *answers { return &answers{map[sameKey]*queue{}} }

// withoutRound is a folded path with the number of its round taken away.
func withoutRound(key string) string {
	head := ""
	if rest, ok := strings.CutPrefix(key, clipsFolder+"/"); ok {
		head, key = clipsFolder+"/", rest
	}
	folder, rest, ok := strings.Cut(key, "/")
	if !ok {
		return head + key
	}
	return head + strings.TrimRight(folder, "0123456789-") + "/" + rest
}

func inClips(key string) bool { return strings.HasPrefix(key, clipsFolder+"/") }

func sameKeys(key string, c content) [3]sameKey {
	clips := inClips(key)
	return [3]sameKey{{'p', clips, c, withoutRound(key)}, {'n', clips, c, path.Base(key)}, {'c', clips, c, ""}}
}

func (a *answers) add(h *held) {
	if !h.hasEnds {
		return
	}
	for _, k := range sameKeys(h.key, h.content) {
		q := a.same[k]
		if q == nil {
			q = &queue{}
			a.same[k] = q
		}
		q.list = append(q.list, h)
	}
}

// find gives the first file that can still answer for a file of the source.
func (a *answers) find(k sameKey, source int) *held {
	q := a.same[k]
	if q == nil {
		return nil
	}
	if q.source != source {
		q.source, q.at = source, 0
	}
	for ; q.at < len(q.list); q.at++ {
		if h := q.list[q.at]; h.answers(source) {
			return h
		}
	}
	return nil
}

// answers reports whether a file can still answer for one of a source: it is not
// of that source itself, and answered for no other of it.
func (h *held) answers(source int) bool { return h.ref.Source != source && h.answered != source+1 }
