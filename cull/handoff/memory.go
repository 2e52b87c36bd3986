package handoff

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"maps"
	"slices"
	"strings"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/sidecar"
)

// memory is what handoffs know of what they wrote, by key: a sidecar's path in
// the job; with a prefix and NUL, which no path holds, everything else.
//
// A kill can come between a sidecar's write and its record. So an intent (the
// values and the digest of the new bytes) is saved before the file is written:
// if the file has that digest, the write took place and the intent is the record.
type memory struct {
	job     *job.Job
	known   map[string][]byte
	news    map[string][]byte // not saved yet; nil forgets
	passes  []string
	byFrame map[cull.ID][]string // keys of the job's sidecars
	aliases map[cull.ID]cull.ID
	journal map[cull.ID]map[string]bool // dates of each frame's entries; nil = not read
}

// record is what we wrote into one sidecar, and for which frame: a sidecar that
// is moved with its picture is found again by it.
type record struct {
	sidecar.Values
	Frame cull.ID `json:",omitempty"`
	Sum   string  `json:",omitempty"` // of an intent: SHA-256 of the new bytes
}

const intentPrefix = "next\x00"

func remembered(j *job.Job, passes []cull.Pass) (*memory, error) {
	known, err := j.AllWrote()
	if err != nil {
		return nil, err
	}
	aliases, err := j.Aliases()
	if err != nil {
		return nil, err
	}
	m := &memory{job: j, known: known, news: map[string][]byte{}, byFrame: map[cull.ID][]string{}, aliases: aliases}
	for _, p := range passes {
		m.passes = append(m.passes, p.Name)
	}
	for _, key := range slices.Sorted(maps.Keys(known)) {
		if strings.Contains(key, "\x00") {
			continue
		}
		if r, ok := m.record(key); ok && r.Frame != "" {
			id := m.canon(r.Frame)
			m.byFrame[id] = append(m.byFrame[id], key)
		}
	}
	return m, nil
}

func (m *memory) canon(id cull.ID) cull.ID {
	if now, ok := m.aliases[id]; ok {
		return now
	}
	return id
}

func (m *memory) get(key string) []byte {
	if b, ok := m.news[key]; ok {
		return b
	}
	return m.known[key]
}

// set remembers a value, or with nil forgets it; what is known is no news.
func (m *memory) set(key string, b []byte) {
	if old, ok := m.known[key]; ok == (b != nil) && string(old) == string(b) {
		delete(m.news, key)
		return
	}
	m.news[key] = b
}

func (m *memory) setJSON(key string, v any) {
	if b, err := json.Marshal(v); err == nil {
		m.set(key, b)
	}
}

// save makes the news durable. Without news nothing is written.
func (m *memory) save() error {
	if len(m.news) == 0 {
		return nil
	}
	if err := m.job.SetWrote(m.news); err != nil {
		return err
	}
	for key, b := range m.news {
		if b == nil {
			delete(m.known, key)
		} else {
			m.known[key] = b
		}
	}
	m.news = map[string][]byte{}
	return nil
}

func (m *memory) record(key string) (r record, ok bool) {
	b := m.get(key)
	return r, len(b) > 0 && json.Unmarshal(b, &r) == nil
}

// intend says what is going to be written under a key.
func (m *memory) intend(key string, id cull.ID, v sidecar.Values, data []byte) {
	m.setJSON(intentPrefix+key, record{Values: v, Frame: id, Sum: digest(data)})
}

// wrote says what of a file is ours now.
func (m *memory) wrote(key string, id cull.ID, v sidecar.Values) {
	m.set(intentPrefix+key, nil)
	if v.IsZero() {
		m.set(key, nil)
		return
	}
	m.setJSON(key, record{Values: v, Frame: id})
}

// last is what an earlier handoff wrote into the sidecar that holds old; nil =
// nothing known.
func (m *memory) last(key string, old []byte) *sidecar.Values {
	if r, ok := m.record(intentPrefix + key); ok && old != nil && r.Sum == digest(old) {
		return &r.Values
	}
	if r, ok := m.record(key); ok {
		return &r.Values
	}
	return nil
}

// fromJournal finds out what we wrote when nothing is remembered, as after the
// catalogue was lost: a file whose date is exactly that of one of the frame's
// journal entries, and whose rating and xmpDM:good say the same thing, is one
// that a handoff wrote. nil = it is not.
func (m *memory) fromJournal(id cull.ID, old []byte) *sidecar.Values {
	v, err := sidecar.Read(old)
	if err != nil || !v.Judged() {
		return nil
	}
	if !m.entryDates()[id][v.MetadataDate] {
		return nil
	}
	v.Keywords = slices.DeleteFunc(v.Keywords, func(k string) bool { return !slices.Contains(m.passes, k) })
	return &v
}

func (m *memory) entryDates() map[cull.ID]map[string]bool {
	if m.journal != nil {
		return m.journal
	}
	m.journal = map[cull.ID]map[string]bool{}
	entries, _ := m.job.Entries() // without them nothing is recognised, which is the careful side
	for _, e := range entries {
		for _, c := range e.Changes {
			id := m.canon(c.Frame)
			if m.journal[id] == nil {
				m.journal[id] = map[string]bool{}
			}
			m.journal[id][xmpDate(e.At)] = true
		}
	}
	return m.journal
}

func digest(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}
