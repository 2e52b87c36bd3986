package small

import (
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"garner/preview/exif"
)

// NS is the namespace of what a small picture says of its original. Properties are
// added to it, never renamed; what is not known is left out.
const NS = "urn:garner:small:1/"

// field is a property of the namespace and where its value is kept: a pointer to one
// of the types that spell knows.
type field struct {
	name  string
	value any
}

// fields lists them in the order in which they are written.
func (p *packet) fields() []field {
	o := &p.Original
	m := &o.Meta
	return []field{
		{"Frame", &o.Frame}, {"Aliases", &o.Aliases},
		{"Path", &o.Path}, {"Kind", &o.Kind}, {"Role", &o.Role}, {"Bytes", &o.Bytes}, {"SHA256", &o.Sum}, {"Head", &o.Head},
		{"Body", &o.Body}, {"Corrected", &o.Corrected}, {"LongEdge", &o.LongEdge},
		{"DocumentID", &o.DocumentID}, {"InstanceID", &o.InstanceID}, {"OriginalDocumentID", &o.OriginalDocumentID},

		{"Make", &m.Make}, {"Model", &m.Model}, {"Serial", &m.Serial}, {"Software", &m.Software}, {"Counter", &m.Counter},
		{"Taken", &m.Taken}, {"Orientation", &m.Orientation}, {"Width", &m.Width}, {"Height", &m.Height},
		{"Seconds", &m.Seconds}, {"FNumber", &m.FNumber}, {"ISO", &m.ISO}, {"Bias", &m.Bias}, {"Flash", &m.Flash},
		{"FocalLength", &m.FocalLength}, {"Lens", &m.Lens}, {"ManualWB", &m.ManualWB}, {"ExposureMode", (*mode)(&m.ExposureMode)},
		{"Rating", &m.Rating}, {"Protected", &m.Protected}, {"Subject", &m.Subject}, {"ColorSpace", &m.ColorSpace}, {"UniqueID", &m.UniqueID},

		{"PictureBytes", &p.rest}, {"PictureSHA256", &p.restSum},
	}
}

// mode is a number of which -1 means that it is not known.
type mode int

// spell writes a value; "" is one that is not known.
func spell(v any) string {
	switch v := v.(type) {
	case *string:
		return *v
	case *[]string:
		return strings.Join(*v, " ")
	case *int:
		return number(int64(*v))
	case *int64:
		return number(*v)
	case *mode:
		if *v >= 0 {
			return strconv.Itoa(int(*v))
		}
	case *bool:
		if *v {
			return "True"
		}
	case *float64:
		if *v != 0 {
			return real(*v)
		}
	case **float64:
		if *v != nil {
			return real(**v)
		}
	case *[32]byte:
		if *v != [32]byte{} {
			return hex.EncodeToString(v[:])
		}
	case *exif.Flash:
		return [3]string{"", "off", "fired"}[min(*v, 2)]
	case *exif.Area:
		if v.Given {
			return fmt.Sprintf("%d %d %d %d", v.X, v.Y, v.W, v.H)
		}
	case *exif.Time:
		return date(*v)
	}
	return ""
}

func number(n int64) string {
	if n == 0 {
		return ""
	}
	return strconv.FormatInt(n, 10)
}

// real writes a number so that it reads back the same, without an exponent
// (ISO 16684-1 §8.2.1.4).
func real(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// date is a date of ISO 16684-1 §8.2.1.2: sub-seconds as far as they are known, the
// zone only if it is.
func date(t exif.Time) string {
	if !t.Known() {
		return ""
	}
	s := t.Wall.Format("2006-01-02T15:04:05")
	if d := subSeconds(t); d != "" {
		s += "." + d
	}
	if t.HasZone {
		s += zone(t)
	}
	return s
}

var errValue = errors.New("a property does not have the form that it is written in")

// parse undoes spell. s is not empty.
func parse(v any, s string) (err error) {
	switch v := v.(type) {
	case *string:
		*v = s
	case *[]string:
		*v = strings.Fields(s)
	case *int:
		*v, err = integer(s, -1, 1<<24)
	case *int64:
		*v, err = strconv.ParseInt(s, 10, 64)
		if *v < 0 {
			err = errValue
		}
	case *mode:
		var n int
		n, err = integer(s, 0, 2)
		*v = mode(n)
	case *bool:
		*v = s == "True"
	case *float64:
		*v, err = finite(s)
	case **float64:
		var f float64
		f, err = finite(s)
		*v = &f
	case *[32]byte:
		if !hexadecimal(s, 64) {
			return errValue
		}
		_, err = hex.Decode(v[:], []byte(s))
	case *exif.Flash:
		switch s {
		case "off":
			*v = exif.FlashOff
		case "fired":
			*v = exif.FlashFired
		default:
			return errValue
		}
	case *exif.Area:
		f := strings.Fields(s)
		if len(f) != 4 {
			return errValue
		}
		for i, to := range []*int{&v.X, &v.Y, &v.W, &v.H} {
			if *to, err = integer(f[i], 0, 1<<24); err != nil {
				return err
			}
		}
		v.Given = true
	case *exif.Time:
		*v, err = parseDate(s)
	}
	return err
}

func integer(s string, low, high int) (int, error) {
	n, err := strconv.Atoi(s)
	if err != nil || n < low || n > high {
		return 0, errValue
	}
	return n, nil
}

func finite(s string) (float64, error) {
	f, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(f) || math.IsInf(f, 0) {
		return 0, errValue
	}
	return f, nil
}

// parseDate undoes date.
func parseDate(s string) (exif.Time, error) {
	const stamp = "2006-01-02T15:04:05"
	if len(s) < len(stamp) {
		return exif.Time{}, errValue
	}
	clock, rest := s[:len(stamp)], s[len(stamp):]
	if _, err := time.Parse(stamp, clock); err != nil {
		return exif.Time{}, errValue
	}
	digits := ""
	if after, ok := strings.CutPrefix(rest, "."); ok {
		n := len(after) - len(strings.TrimLeft(after, "0123456789"))
		digits, rest = after[:n], after[n:]
	}
	t := exif.ParseTime(strings.NewReplacer("-", ":", "T", " ").Replace(clock), digits, rest)
	if date(t) != s { // no calendar has it, or it has more digits than there are
		return exif.Time{}, errValue
	}
	return t, nil
}

// plain reports whether XML 1.0 §2.2 can carry s and gives it back as it is.
func plain(s string) bool {
	return utf8.ValidString(s) && strings.TrimSpace(s) == s && !strings.ContainsFunc(s, func(r rune) bool {
		return unicode.IsControl(r) || r == '\uFEFF' || r&0xFFFE == 0xFFFE
	})
}

func unbase64(s string) (string, error) {
	b, err := base64.StdEncoding.Strict().DecodeString(s)
	if err != nil || len(b) == 0 {
		return "", errValue
	}
	return string(b), nil
}
