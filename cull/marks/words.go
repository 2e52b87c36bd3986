package marks

import (
	"strconv"

	"garner/cull"
)

// Words are a frame's marks for people, each with where it comes from.
func Words(f cull.Frame, sidecar *Sidecar) []string {
	var out []string
	if f.Shot.Rating > 0 {
		out = append(out, "rated "+strconv.Itoa(f.Shot.Rating)+" in the body")
	}
	if f.Shot.Rating < 0 {
		out = append(out, "marked as unwanted in the body")
	}
	if f.Shot.Protected {
		out = append(out, "protected in the body")
	}
	switch {
	case sidecar == nil || sidecar.Rating == 0:
	case sidecar.Rating < 0:
		out = append(out, "marked as unwanted in the sidecar")
	default:
		out = append(out, "rated "+strconv.FormatFloat(sidecar.Rating, 'f', -1, 64)+" in the sidecar")
	}
	return out
}
