package catalog

import "time"

// Card is what an offload found on one card and what became of it; the key is
// the card's key.
type Card struct {
	Label, VolumeID string
	Bodies          []string  // as shown: letter, model, serial number
	First, Last     string    // names of the first and the last frame in time
	From, Until     time.Time // as the bodies' clocks showed them; zero = no time is known
	Frames, Files   int
	Bytes           int64
	Destinations    []string // absolute paths
	Safe            bool     // every byte was read back from every place that was promised
	Why             []string // why it was not safe
	At              time.Time
}

func encodeCard(b []byte, r Card) []byte {
	b = putString(b, r.Label)
	b = putString(b, r.VolumeID)
	b = putTexts(b, r.Bodies)
	b = putString(b, r.First)
	b = putString(b, r.Last)
	b = putTime(b, r.From)
	b = putTime(b, r.Until)
	b = putInt(b, int64(r.Frames))
	b = putInt(b, int64(r.Files))
	b = putInt(b, r.Bytes)
	b = putTexts(b, r.Destinations)
	b = putFlags(b, r.Safe)
	b = putTexts(b, r.Why)
	return putTime(b, r.At)
}

func decodeCard(c *cursor) Card {
	r := Card{Label: c.string(), VolumeID: c.string(), Bodies: texts(c), First: c.string(), Last: c.string(),
		From: c.time(), Until: c.time(), Frames: c.small(), Files: c.small(), Bytes: c.int(), Destinations: texts(c)}
	r.Safe = c.flags(1)[0]
	r.Why = texts(c)
	r.At = c.time()
	return r
}

func putTexts(b []byte, list []string) []byte {
	b = putUint(b, uint64(len(list)))
	for _, s := range list {
		b = putString(b, s)
	}
	return b
}

func texts(c *cursor) []string { return list(c, 1, (*cursor).string) }

// emptyCards makes room for typed records of cards: form 1 had the bucket, but
// nothing was ever put into it.
func emptyCards(tx *Tx) error {
	for _, key := range table(tx, blobKind(), bucketCards).Keys() {
		if err := tx.Cards().Delete(key); err != nil {
			return err
		}
	}
	return nil
}
