package marks

import (
	"fmt"
	"regexp"
	"strconv"

	"garner/cull"
)

// Expr asks for a mark:
//
//	camera-rating>=3     the rating in the body; also <=, <, >, =
//	sidecar-rating>=1    the rating in a sidecar that came with the frame
//	protected            by the body's protect key
//
// A frame of which a file says nothing has the rating 0, as XMP counts it (ISO
// 16684-1 §8.4); one without a sidecar's rating has none in the sidecar, and no
// comparison holds for it. A frame that was marked as unwanted has the rating -1.
type Expr struct {
	what string
	op   string
	n    float64
}

// The marks.
const (
	cameraRating  = "camera-rating"
	sidecarRating = "sidecar-rating"
	protected     = "protected"
)

var exprForm = regexp.MustCompile(`^\s*(camera-rating|sidecar-rating)\s*(>=|<=|=|<|>)\s*(-1|[0-5](?:\.[0-9]{1,3})?)\s*$`)

// Parse reads an expression.
func Parse(s string) (Expr, error) {
	if regexp.MustCompile(`^\s*protected\s*$`).MatchString(s) {
		return Expr{what: protected}, nil
	}
	m := exprForm.FindStringSubmatch(s)
	if m == nil {
		return Expr{}, fmt.Errorf("%q is no mark: camera-rating>=3, sidecar-rating>=1 (also <=, <, >, =, with -1 to 5) or protected is wanted", s)
	}
	n, err := strconv.ParseFloat(m[3], 64)
	if err != nil || n > 5 {
		return Expr{}, fmt.Errorf("%q is no rating: it is -1 to 5", m[3])
	}
	return Expr{m[1], m[2], n}, nil
}

// Sidecars reports whether the expression asks for ratings of sidecars.
func (e Expr) Sidecars() bool { return e.what == sidecarRating }

// Of reports whether a frame has the mark. Sidecar is nil where none has a rating.
func (e Expr) Of(f cull.Frame, sidecar *Sidecar) bool {
	v := float64(f.Shot.Rating)
	switch e.what {
	case protected:
		return f.Shot.Protected
	case sidecarRating:
		if sidecar == nil {
			return false
		}
		v = sidecar.Rating
	}
	switch e.op {
	case ">=":
		return v >= e.n
	case "<=":
		return v <= e.n
	case "<":
		return v < e.n
	case ">":
		return v > e.n
	}
	return v == e.n
}

// String spells the expression.
func (e Expr) String() string {
	if e.what == protected {
		return protected
	}
	return e.what + e.op + strconv.FormatFloat(e.n, 'f', -1, 64)
}
