package job

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"time"

	"garner/store/catalog"
)

// Card is what an offload found on one card (or drive, or folder), and what
// became of it.
type Card struct {
	Key             string // from what stays the same when the card is put in again; "" = SaveCard makes it
	Label, VolumeID string
	Bodies          []string  // as shown: letter, model, serial number
	First, Last     string    // names of the first and the last frame in time
	From, Until     time.Time // as the bodies' clocks showed them, in time.UTC; zero = not known
	Frames, Files   int
	Bytes           int64
	Destinations    []string // folders that everything went to, absolute
	Safe            bool     // to format: every byte was read back from every place that was promised
	Why             []string // why it was not safe, in sentences
	At              time.Time
}

// key tells one card from another: all cards of a make have one label, and a body
// that formats a card gives it a new volume ID, if it gives one at all.
func (c Card) key() string {
	h := sha256.New()
	fmt.Fprintf(h, "%q %q %q %d %d %d %d", c.VolumeID, c.First, c.Last, unix(c.From), unix(c.Until), c.Frames, c.Files)
	return hex.EncodeToString(h.Sum(nil)[:8])
}

func unix(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.UnixMilli()
}

// SaveCard records what became of a card, in place of what an earlier offload of
// the same card recorded. Its destinations, but for the job itself, are among
// those of [Job.Also] from then on.
func (j *Job) SaveCard(c Card) error {
	if c.Key == "" {
		c.Key = c.key()
	}
	if c.At.IsZero() {
		c.At = j.now()
	}
	// The destinations first: the journal has to go there even if nothing more is
	// recorded.
	if err := j.addAlso(c.Destinations); err != nil {
		return err
	}
	return j.update(func(tx *catalog.Tx) error {
		return tx.Cards().Put(c.Key, catalog.Card{Label: c.Label, VolumeID: c.VolumeID, Bodies: c.Bodies, First: c.First, Last: c.Last,
			From: c.From, Until: c.Until, Frames: c.Frames, Files: c.Files, Bytes: c.Bytes, Destinations: c.Destinations, Safe: c.Safe, Why: c.Why, At: c.At})
	})
}

// Cards returns what is recorded of cards, in the order in which they were taken
// in. It is lost with the catalogue: what is not recorded is not safe.
func (j *Job) Cards() ([]Card, error) {
	var cards []Card
	err := j.db.View(func(tx *catalog.Tx) error {
		return tx.Cards().Each(func(key string, r catalog.Card) error {
			cards = append(cards, Card{Key: key, Label: r.Label, VolumeID: r.VolumeID, Bodies: r.Bodies, First: r.First, Last: r.Last,
				From: r.From, Until: r.Until, Frames: r.Frames, Files: r.Files, Bytes: r.Bytes, Destinations: r.Destinations, Safe: r.Safe, Why: r.Why, At: r.At})
			return nil
		})
	})
	slices.SortStableFunc(cards, func(a, b Card) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.Key, b.Key)) })
	return cards, err
}
