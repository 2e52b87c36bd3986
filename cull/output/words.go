package output

import (
	"errors"
	"io/fs"

	"garner/preview/finished"
	"garner/preview/icc"
	"garner/store"
)

func failed(picture string, err error) Line {
	return Line{Picture: picture, Action: Failed, Reason: why(err)}
}

// why is an error for a person, without the path, which stands beside it.
func why(err error) string {
	var ours *store.Error
	var pe *fs.PathError
	var damaged icc.FormatError
	var unread icc.UnsupportedError
	switch {
	case errors.As(err, &ours):
		return ours.Op + ": " + why(ours.Err)
	case errors.As(err, &pe):
		err = pe.Err
	case errors.As(err, &damaged):
		return "its colour profile is damaged: " + string(damaged)
	case errors.As(err, &unread):
		return "its colour profile is of a kind that is not read: " + string(unread)
	}
	return err.Error()
}

// colourless says of a picture of inks that nobody knows which: what has no profile of
// its own is taken for sRGB where it is RGB, and there is nothing to take this for.
func colourless(p *finished.Picture) error {
	switch {
	case p.Model != finished.CMYK || p.Profile != nil:
		return nil
	case p.ProfileFault != "":
		return errors.New("a CMYK picture whose profile cannot be used (" + p.ProfileFault + "), so that its colours are not known; export it as RGB")
	}
	return errors.New("a CMYK picture without a profile, so that its colours are not known; export it as RGB")
}
