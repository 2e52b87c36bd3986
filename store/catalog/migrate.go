package catalog

import "fmt"

// keySchema holds how many migrations the file has had.
const keySchema = "schema"

// migrations lists the steps from an empty file to the present form. Append
// only: files of every earlier form exist, and testdata has one of each.
func migrations() []func(*Tx) error {
	return []func(*Tx) error{
		makeBuckets, // 1: the buckets
		emptyCards,  // 2: records of cards are typed
		nothingToDo, // 3: the record of the order may be of version 2, which older programs can't read
		nothingToDo, // 4: so may the records of frames
	}
}

// Schema is the number of the form that this version writes.
func Schema() int { return len(migrations()) }

func makeBuckets(tx *Tx) error {
	for _, name := range buckets() {
		if _, err := tx.makeBucket([]string{name}); err != nil {
			return err
		}
	}
	return nil
}

// nothingToDo is a step that only keeps older programs out: they would take records
// of a later version for damaged.
func nothingToDo(*Tx) error { return nil }

// checkSchema brings an older file up to date when it may write, and refuses a
// newer one. An older file can be read as it is: a table that is not there yet
// is empty, and records of old versions are decoded.
func (tx *Tx) checkSchema(write bool) error {
	have, _, err := tx.Meta().Get(keySchema)
	if err != nil {
		return err
	}
	steps := migrations()
	if have < 0 || have > int64(len(steps)) {
		return fmt.Errorf("%w (form %d, this one knows %d)", ErrNewer, have, len(steps))
	}
	if !write || have == int64(len(steps)) {
		return nil
	}
	for i, step := range steps[have:] {
		if err := step(tx); err != nil {
			return fmt.Errorf("bringing the catalogue to form %d: %w", int(have)+i+1, err)
		}
	}
	return tx.Meta().Put(keySchema, int64(len(steps)))
}
