package finished

import (
	"errors"
	"fmt"

	"garner/preview/icc"
)

// setProfile takes an embedded profile over if it can be one of this picture: its
// header has to say so (ICC.1:2022 §7.2: signature at 36, colour space at 16).
// Whether its tables are sound is for whoever converts.
func (p *Picture) setProfile(b []byte, err error) {
	switch {
	case err != nil:
		p.ProfileFault = clause(err)
		return
	case b == nil:
		return
	case len(b) < 132 || string(b[36:40]) != "acsp":
		p.ProfileFault = "is no ICC profile"
		return
	}
	space := string(b[16:20])
	of, known := map[string]Model{"GRAY": Grey, "RGB ": RGB, "CMYK": CMYK}[space]
	switch {
	case !known:
		p.ProfileFault = fmt.Sprintf("describes %q, the picture is %s", space, p.Model)
	case of != p.Model:
		p.ProfileFault = fmt.Sprintf("describes %s, the picture is %s", of, p.Model)
	default:
		p.Profile = b
	}
}

// clause is an error without the name of the package that it came from.
func clause(err error) string {
	var format icc.FormatError
	var unsupported icc.UnsupportedError
	switch {
	case errors.As(err, &format):
		return string(format)
	case errors.As(err, &unsupported):
		return string(unsupported)
	}
	return err.Error()
}
