package output

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"garner/cull/job"
	"garner/preview/imprint"
)

// maxStampFile bounds a font or a picture of a stamp, in bytes; fonts of all the
// world's letters take about as much.
const maxStampFile = 32 << 20

// stamp is what sets are stamped with; the zero value is no stamp.
type stamp struct {
	maker *imprint.Stamper
	sum   string // of everything that it is made of; "" = none
}

// StampError says why the stamp of the settings cannot be made.
type StampError struct{ Err error }

func (e *StampError) Error() string { return "the stamp cannot be made: " + e.Err.Error() }
func (e *StampError) Unwrap() error { return e.Err }

// readStamp reads the stamp, if one of the sets wants it. What is wrong with it keeps
// those sets from being cut, and is an error only where there are no others: nothing is
// written unstamped that is to be stamped.
func (pl *planner) readStamp(s job.StampSettings) error {
	n := 0
	for _, set := range pl.sets {
		if set.Stamp {
			n++
		}
	}
	if n == 0 {
		return nil
	}
	var err error
	if pl.stamp, err = readStamp(s); err == nil {
		return nil
	}
	var fault *StampError
	if errors.As(err, &fault) && n < len(pl.sets) {
		pl.unstamped = err
		return nil
	}
	return err
}

// readStamp reads what the settings name. Where they name neither a text nor a
// picture there is no stamp, which is no error, unless they say how it is to look.
func readStamp(s job.StampSettings) (stamp, error) {
	if s.Text == nil && s.Picture == nil && s != (job.StampSettings{}) {
		return stamp{}, &StampError{errors.New("it has neither a text nor a picture")}
	}
	if or(s.Text, "") == "" && or(s.Picture, "") == "" {
		return stamp{}, nil
	}
	m := imprint.Stamp{Text: or(s.Text, ""), Dark: or(s.Dark, false), Plain: or(s.Plain, false), Margin: or(s.Margin, 0.025), Opacity: or(s.Opacity, 0.8)}
	m.Corner, _ = imprint.ParseCorner(or(s.Corner, imprint.BottomRight.String()))
	m.Edge, _ = imprint.ParseEdge(or(s.Edge, imprint.ShortEdge.String()))
	size := 0.03
	var err error
	if s.Picture != nil {
		size = 0.06
		if m.Picture, err = stampFile("picture", *s.Picture); err != nil {
			return stamp{}, &StampError{err}
		}
	}
	if s.Font != nil && s.Picture == nil {
		if m.Font, err = stampFile("font", *s.Font); err != nil {
			return stamp{}, &StampError{err}
		}
	}
	m.Size = or(s.Size, size)
	maker, err := imprint.NewStamper(m)
	if err != nil {
		return stamp{}, &StampError{inWords(err, s)}
	}
	all, err := json.Marshal(m)
	if err != nil {
		return stamp{}, err
	}
	sum := sha256.Sum256(all)
	return stamp{maker, hex.EncodeToString(sum[:])}, nil
}

// inWords says which file it is that something is wrong with.
func inWords(err error, s job.StampSettings) error {
	var fault *imprint.StampError
	if !errors.As(err, &fault) {
		return err
	}
	switch {
	case fault.What == "picture" && s.Picture != nil:
		return fmt.Errorf("the picture %s %s", *s.Picture, fault.Reason)
	case fault.What == "font" && s.Font != nil:
		return fmt.Errorf("the font %s %s", *s.Font, fault.Reason)
	}
	return fmt.Errorf("its %s %s", fault.What, fault.Reason)
}

func stampFile(what, path string) ([]byte, error) {
	info, err := os.Stat(path)
	if err == nil && !info.Mode().IsRegular() {
		return nil, fmt.Errorf("the %s %s is no regular file", what, path)
	}
	var b []byte
	if err == nil {
		var f *os.File
		if f, err = os.Open(path); err == nil {
			defer f.Close()
			b, err = io.ReadAll(io.LimitReader(f, maxStampFile+1))
		}
	}
	var pe *fs.PathError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("the %s %s is not there", what, path)
	case errors.As(err, &pe):
		return nil, fmt.Errorf("the %s %s cannot be read: %w", what, path, pe.Err)
	case err != nil:
		return nil, fmt.Errorf("the %s %s cannot be read: %w", what, path, err)
	case len(b) > maxStampFile:
		return nil, fmt.Errorf("the %s %s has more than %d MiB", what, path, maxStampFile>>20)
	}
	return b, nil
}
