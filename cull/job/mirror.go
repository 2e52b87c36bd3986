package job

import (
	"bufio"
	"fmt"
	"io"

	"garner/store/catalog"
)

// CopyJournal writes the journal as text to dest, replacing what is there: dest
// is the old copy or the new one, whole. It is taken from the catalogue, so a
// damaged journal.txt does not spread.
func (j *Job) CopyJournal(dest string) error {
	var lines []string
	err := j.db.View(func(tx *catalog.Tx) error {
		return tx.Journal().Each(func(_ string, r catalog.Entry) error {
			lines = append(lines, r.Line)
			return nil
		})
	})
	if err != nil {
		return err
	}
	err = replaceFile(dest, func(w io.Writer) error {
		out := bufio.NewWriter(w)
		for _, line := range lines {
			out.WriteString(line)
			out.WriteByte('\n')
		}
		return out.Flush()
	})
	if err != nil {
		return fmt.Errorf("copy of the journal: %w", err)
	}
	return nil
}
