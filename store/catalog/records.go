package catalog

import "time"

// Body is what is known of one camera; the key is the body's key.
type Body struct {
	Make, Model, Serial string
	Photographer        string
}

func encodeBody(b []byte, r Body) []byte {
	b = putString(b, r.Make)
	b = putString(b, r.Model)
	b = putString(b, r.Serial)
	return putString(b, r.Photographer)
}

func decodeBody(c *cursor) Body {
	return Body{Make: c.string(), Model: c.string(), Serial: c.string(), Photographer: c.string()}
}

// Path is what was seen of one file; the key is its path in the job.
type Path struct {
	Frame string // id of the frame that the file belongs to
	Size  int64
	Mod   time.Time
	Head  string // lower-case hex SHA-256 of the first 64 KiB
}

func encodePath(b []byte, r Path) []byte {
	b = putID(b, r.Frame)
	b = putInt(b, r.Size)
	b = putTime(b, r.Mod)
	return putString(b, r.Head)
}

func decodePath(c *cursor) Path {
	return Path{Frame: c.id(), Size: c.int(), Mod: c.time(), Head: c.string()}
}

// Pass is one yes/no question; the key is its name.
type Pass struct {
	Question     string
	SourceOf     string // name of the pass it starts from; "" = all frames
	SourceAnswer uint8
	Seq          uint64 // journal entry that defined it
}

func encodePass(b []byte, r Pass) []byte {
	b = putString(b, r.Question)
	b = putString(b, r.SourceOf)
	b = append(b, r.SourceAnswer)
	return putUint(b, r.Seq)
}

func decodePass(c *cursor) Pass {
	return Pass{Question: c.string(), SourceOf: c.string(), SourceAnswer: c.byte(), Seq: c.uint()}
}

// State is the standing answer for one frame in one pass; the key is the
// frame's id. A frame without a record is open.
type State struct {
	Answer   uint8
	Who      string
	At       time.Time
	Shown    bool
	Explicit bool
	Seq      uint64 // journal entry that made it
}

func encodeState(b []byte, r State) []byte {
	b = append(b, r.Answer)
	b = putString(b, r.Who)
	b = putTime(b, r.At)
	b = putFlags(b, r.Shown, r.Explicit)
	return putUint(b, r.Seq)
}

func decodeState(c *cursor) State {
	r := State{Answer: c.byte(), Who: c.word(), At: c.time()}
	f := c.flags(2)
	r.Shown, r.Explicit = f[0], f[1]
	r.Seq = c.uint()
	return r
}

// Entry is one line of the journal.
type Entry struct {
	Line string
	// Replaced holds, for each frame that the entry answered, in its order,
	// what stood before: undo puts it back with who, when and number.
	Replaced []State
}

func encodeEntry(b []byte, r Entry) []byte {
	b = putString(b, r.Line)
	b = putUint(b, uint64(len(r.Replaced)))
	for _, s := range r.Replaced {
		b = encodeState(b, s)
	}
	return b
}

func decodeEntry(c *cursor) Entry {
	return Entry{Line: c.string(), Replaced: list(c, 5, decodeState)}
}

// Other is a file that belongs to no frame.
type Other struct {
	Path string
	Why  string
}

func encodeOthers(b []byte, list []Other) []byte {
	b = putUint(b, uint64(len(list)))
	for _, o := range list {
		b = putString(b, o.Path)
		b = putString(b, o.Why)
	}
	return b
}

func decodeOthers(c *cursor) []Other {
	n := c.count(2)
	if n == 0 {
		return nil
	}
	list := make([]Other, n)
	for i := range list {
		list[i] = Other{Path: c.string(), Why: c.string()}
	}
	return list
}

func encodeText(b []byte, s string) []byte { return append(b, s...) }

func decodeText(c *cursor) string {
	s := string(c.b)
	c.b = nil
	return s
}

func encodeBlob(b, blob []byte) []byte { return append(b, blob...) }

func decodeBlob(c *cursor) []byte {
	blob := append([]byte{}, c.b...)
	c.b = nil
	return blob
}

func encodeNumber(b []byte, n int64) []byte { return putInt(b, n) }

func decodeNumber(c *cursor) int64 { return c.int() }

func encodeID(b []byte, id string) []byte { return putID(b, id) }

func decodeID(c *cursor) string { return c.id() }
