package catalog

import (
	"fmt"
	"strconv"
	"unicode"
	"unicode/utf8"

	bolt "go.etcd.io/bbolt"
)

// The buckets. Names are never reused for another kind of record.
const (
	bucketMeta        = "meta"
	bucketBodies      = "bodies"
	bucketFrames      = "frames"
	bucketAlias       = "alias"
	bucketPaths       = "paths"
	bucketPasses      = "passes"
	bucketState       = "state" // one nested bucket per pass
	bucketJournal     = "journal"
	bucketEvidence    = "evidence" // one nested bucket per method
	bucketCorrections = "corrections"
	bucketWrote       = "wrote"
	bucketCards       = "cards"
	bucketOutputs     = "outputs"
	bucketIndex       = "index"
)

// buckets lists all of them, in the order of the migration that made them.
func buckets() []string {
	return []string{
		bucketMeta, bucketBodies, bucketFrames, bucketAlias, bucketPaths, bucketPasses, bucketState,
		bucketJournal, bucketEvidence, bucketCorrections, bucketWrote, bucketCards, bucketOutputs, bucketIndex,
	}
}

// Tx is one transaction on the catalogue. It must not be used after the function
// that was given it has returned.
type Tx struct {
	bolt *bolt.Tx
}

func (tx *Tx) find(path []string) *bolt.Bucket {
	b := tx.bolt.Bucket([]byte(path[0]))
	for _, name := range path[1:] {
		if b == nil {
			return nil
		}
		b = b.Bucket([]byte(name))
	}
	return b
}

func (tx *Tx) makeBucket(path []string) (*bolt.Bucket, error) {
	b, err := tx.bolt.CreateBucketIfNotExists([]byte(path[0]))
	for _, name := range path[1:] {
		if err != nil {
			break
		}
		b, err = b.CreateBucketIfNotExists([]byte(name))
	}
	if err != nil {
		return nil, fmt.Errorf("catalogue bucket %s: %w", place(path), err)
	}
	return b, nil
}

func table[R any](tx *Tx, k kind[R], path ...string) Table[R] {
	return Table[R]{tx: tx, path: path, bucket: tx.find(path), kind: k}
}

// nested lists the names of the buckets inside a bucket.
func (tx *Tx) nested(name string) []string {
	var names []string
	if b := tx.find([]string{name}); b != nil {
		// The function returns no error, so neither does ForEachBucket.
		_ = b.ForEachBucket(func(k []byte) error {
			names = append(names, string(k))
			return nil
		})
	}
	return names
}

// Meta holds numbers about the catalogue itself and about files beside it; the
// key "schema" belongs to this package.
func (tx *Tx) Meta() Table[int64] { return table(tx, numberKind(), bucketMeta) }

// Bodies holds the cameras by body key.
func (tx *Tx) Bodies() Table[Body] { return table(tx, bodyKind(), bucketBodies) }

// Frames holds the frames by id.
func (tx *Tx) Frames() Table[Frame] { return table(tx, frameKind(), bucketFrames) }

// Aliases gives the id of a frame for each other id that it was known under.
func (tx *Tx) Aliases() Table[string] { return table(tx, idKind(), bucketAlias) }

// Paths holds what was seen of each file, by its path in the job.
func (tx *Tx) Paths() Table[Path] { return table(tx, pathKind(), bucketPaths) }

// Passes holds the passes by name.
func (tx *Tx) Passes() Table[Pass] { return table(tx, passKind(), bucketPasses) }

// State holds the standing answers of a pass by frame id.
func (tx *Tx) State(pass string) Table[State] {
	return table(tx, stateKind(), bucketState, pass)
}

// StatePasses lists the passes that have a state.
func (tx *Tx) StatePasses() []string { return tx.nested(bucketState) }

// ClearState removes the standing answers of every pass, to be filled again
// from the journal.
func (tx *Tx) ClearState() error {
	for _, pass := range tx.StatePasses() {
		if err := tx.find([]string{bucketState}).DeleteBucket([]byte(pass)); err != nil {
			return fmt.Errorf("catalogue bucket state/%s: %w", pass, err)
		}
	}
	return nil
}

// Journal holds the entries by SeqKey.
func (tx *Tx) Journal() Table[Entry] { return table(tx, entryKind(), bucketJournal) }

// Corrections holds, by SeqKey, the text of those entries that are no answers:
// letters, offsets, names, passes, what takes one back. They are few, and read without the journal.
func (tx *Tx) Corrections() Table[string] { return table(tx, textKind(), bucketCorrections) }

// Evidence holds what a method measured, by frame id.
func (tx *Tx) Evidence(method string) Table[[]byte] {
	return table(tx, blobKind(), bucketEvidence, method)
}

// Methods lists the methods that have evidence.
func (tx *Tx) Methods() []string { return tx.nested(bucketEvidence) }

// Wrote holds the values that we wrote into each sidecar, by its path.
func (tx *Tx) Wrote() Table[[]byte] { return table(tx, blobKind(), bucketWrote) }

// Cards holds what offload knows of each card.
func (tx *Tx) Cards() Table[Card] { return table(tx, cardKind(), bucketCards) }

// Outputs holds what was rendered.
func (tx *Tx) Outputs() Table[[]byte] { return table(tx, blobKind(), bucketOutputs) }

// The packed records of the bucket index.
const (
	keyLayout = "layout"
	keyOthers = "others"
)

// Layout holds the job in order, under one key.
func (tx *Tx) Layout() Single[Layout] {
	return Single[Layout]{table(tx, layoutKind(), bucketIndex), keyLayout}
}

// Others lists the files that belong to no frame.
func (tx *Tx) Others() Single[[]Other] {
	return Single[[]Other]{table(tx, othersKind(), bucketIndex), keyOthers}
}

// Single is a record of which there is one.
type Single[R any] struct {
	table Table[R]
	key   string
}

// Get returns the record, or its zero value when it was never written.
func (s Single[R]) Get() (R, error) {
	r, _, err := s.table.Get(s.key)
	return r, err
}

// Put writes the record.
func (s Single[R]) Put(r R) error { return s.table.Put(s.key, r) }

func numberKind() kind[int64]   { return kind[int64]{1, encodeNumber, decodeNumber} }
func bodyKind() kind[Body]      { return kind[Body]{1, encodeBody, decodeBody} }
func frameKind() kind[Frame]    { return kind[Frame]{frameOrigins, encodeFrame, decodeFrame} }
func idKind() kind[string]      { return kind[string]{1, encodeID, decodeID} }
func pathKind() kind[Path]      { return kind[Path]{1, encodePath, decodePath} }
func passKind() kind[Pass]      { return kind[Pass]{1, encodePass, decodePass} }
func stateKind() kind[State]    { return kind[State]{1, encodeState, decodeState} }
func entryKind() kind[Entry]    { return kind[Entry]{1, encodeEntry, decodeEntry} }
func textKind() kind[string]    { return kind[string]{1, encodeText, decodeText} }
func blobKind() kind[[]byte]    { return kind[[]byte]{1, encodeBlob, decodeBlob} }
func cardKind() kind[Card]      { return kind[Card]{1, encodeCard, decodeCard} }
func layoutKind() kind[Layout]  { return kind[Layout]{layoutAlike, encodeLayout, decodeLayout} }
func othersKind() kind[[]Other] { return kind[[]Other]{1, encodeOthers, decodeOthers} }

// showKey makes a key fit for a message: keys are paths and names from files, and
// may hold anything.
func showKey(key []byte) string {
	if seq := KeySeq(string(key)); seq != 0 && seq < 1<<40 {
		return strconv.FormatUint(seq, 10)
	}
	for _, r := range string(key) {
		if r == utf8.RuneError || !unicode.IsPrint(r) {
			return strconv.QuoteToASCII(string(key))
		}
	}
	return string(key)
}
