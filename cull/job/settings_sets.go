package job

import (
	"fmt"
	"maps"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"unicode"

	"garner/cull"
)

// SetSettings are what a person has set about one set of output files: a table
// [sets.NAME]. What is nil is not set.
//
//	[sets.album]
//	exact = [3000, 2400]
//	crop = true
//	quality = 95
type SetSettings struct {
	Skip *bool `toml:"skip"` // do not cut this set unless it is asked for by name

	// One of them; none = all pixels there are.
	LongEdge *int        `toml:"long_edge"` // pixels
	Fit      *Dimensions `toml:"fit"`       // as large as goes into it
	Exact    *Dimensions `toml:"exact"`

	EitherWay *bool    `toml:"either_way"` // fit and exact are turned to the form of the picture
	Crop      *bool    `toml:"crop"`       // exact: what does not fit its form may be cut away
	CropAt    []string `toml:"crop_at"`    // what the crop keeps: top, bottom, left, right; the middle if not said
	Enlarge   *bool    `toml:"enlarge"`    // pictures that are too small may be made larger

	Quality *int    `toml:"quality"` // of the JPEG, 1 to 100
	Bytes   *int    `toml:"bytes"`   // most bytes of a file
	Chroma  *string `toml:"chroma"`  // full or half
	Space   *string `toml:"space"`   // sRGB, Display P3, Adobe RGB
	PPI     *int    `toml:"ppi"`

	Sharpen          *float64 `toml:"sharpen"`           // how much; 0 = not at all
	SharpenRadius    *float64 `toml:"sharpen_radius"`    // pixels
	SharpenThreshold *float64 `toml:"sharpen_threshold"` // 8-bit codes

	Stamp *bool    `toml:"stamp"` // with the stamp of [stamp], if there is one
	Keep  []string `toml:"keep"`  // of what files say: gps, serial; nil = as the set does
	Name  *string  `toml:"name"`  // pattern of names, without extension

	// Of [sets.proofs] alone.
	Title   *string  `toml:"title"`   // of the page
	Note    *string  `toml:"note"`    // to the client
	Paper   []string `toml:"paper"`   // of contact sheets: a4, letter; [] or none = no sheets
	Columns *int     `toml:"columns"` // of pictures on a sheet
	Rows    *int     `toml:"rows"`
}

// StampSettings are the table [stamp]. What is nil is not set.
type StampSettings struct {
	Text    *string  `toml:"text"`
	Font    *string  `toml:"font"`    // a file; relative to that of the settings
	Picture *string  `toml:"picture"` // a PNG, likewise
	Dark    *bool    `toml:"dark"`
	Plain   *bool    `toml:"plain"`
	Corner  *string  `toml:"corner"`
	Edge    *string  `toml:"edge"` // size and margin are shares of it: short or long
	Size    *float64 `toml:"size"`
	Margin  *float64 `toml:"margin"`
	Opacity *float64 `toml:"opacity"`
}

// The longest edge and the largest file that can be asked for.
const (
	maxEdge  = 65535
	maxBytes = 1 << 30
	maxSets  = 50
)

// Corners are the places that a stamp may have, Keeps what a set may keep of what
// pictures say.
var (
	Corners = []string{"bottom-right", "bottom-left", "top-right", "top-left", "bottom", "top", "centre"}
	Keeps   = []string{"gps", "serial"}
)

const setsForm = `[sets] must hold a table for each set, as in [sets.online] and long_edge = 2048, fit = [3840, 2160], quality = 85, stamp = true`

const stampForm = `[stamp] must hold texts in quotes and numbers, as in text = "Berg" and size = 0.03`

// overSet lays what one table says over another, key by key. A size of any kind
// takes the place of any other.
func overSet(own, under SetSettings) SetSettings {
	if own.LongEdge != nil || own.Fit != nil || own.Exact != nil {
		under.LongEdge, under.Fit, under.Exact = nil, nil, nil
	}
	overFields(&own, under)
	return own
}

func overStamp(own, under StampSettings) StampSettings {
	if own.Text != nil || own.Picture != nil {
		under.Text, under.Picture = nil, nil
	}
	overFields(&own, under)
	return own
}

func overSets(own, under map[string]SetSettings) map[string]SetSettings {
	sets := over(own, under)
	for name, o := range own {
		if u, both := under[name]; both {
			sets[name] = overSet(o, u)
		}
	}
	return sets
}

// overFields takes from under what is nil in own.
func overFields[T any](own *T, under T) {
	o, u := reflect.ValueOf(own).Elem(), reflect.ValueOf(under)
	for i := range o.NumField() {
		if o.Field(i).IsNil() {
			o.Field(i).Set(u.Field(i))
		}
	}
}

// Over lays the settings of a set over those that the set is built with.
func (s SetSettings) Over(built SetSettings) SetSettings { return overSet(s, built) }

// misset is what is wrong with the value of a key.
type misset struct {
	key  []string // from the top of the file
	text string
}

// checkSets returns the first thing that is wrong with the values of sets.
func checkSets(sets map[string]SetSettings) *misset {
	names := map[string]bool{}
	for i, name := range slices.Sorted(maps.Keys(sets)) {
		at := func(key, format string, args ...any) *misset {
			path := []string{"sets", name}
			if key != "" {
				path = append(path, key)
			}
			return &misset{path, fmt.Sprintf(format, args...)}
		}
		switch low := strings.ToLower(name); {
		case i == maxSets:
			return at("", "there are more than %d sets", maxSets)
		case !setName(name):
			return at("", "the name of a set is that of its folder: letters, digits, blanks, - and _, as in [sets.album]")
		case names[low]:
			return at("", "the set %s is there twice", name)
		default:
			names[low] = true
		}
		if f := sets[name].checkKind(name, at); f != nil {
			return f
		}
		if f := sets[name].check(at); f != nil {
			return f
		}
	}
	return nil
}

// setName reports whether every file system takes a folder of that name.
func setName(s string) bool {
	if s == "" || len(s) > 60 || s != strings.TrimSpace(s) {
		return false
	}
	for _, r := range s {
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != ' ' && r != '-' && r != '_' {
			return false
		}
	}
	return true
}

type faultAt func(key, format string, args ...any) *misset

func (s SetSettings) check(at faultAt) *misset {
	kinds := 0
	for _, set := range []bool{s.LongEdge != nil, s.Fit != nil, s.Exact != nil} {
		if set {
			kinds++
		}
	}
	if kinds > 1 {
		return at("", "a set has one size: long_edge, fit or exact")
	}
	for _, n := range []struct {
		key      string
		v        *int
		from, to int
	}{{"long_edge", s.LongEdge, 1, maxEdge}, {"quality", s.Quality, 1, 100}, {"bytes", s.Bytes, 1000, maxBytes}, {"ppi", s.PPI, 1, 10000},
		{"columns", s.Columns, 1, 12}, {"rows", s.Rows, 1, 16}} {
		if n.v != nil && (*n.v < n.from || *n.v > n.to) {
			return at(n.key, "%s is %d: it must be %d to %d", n.key, *n.v, n.from, n.to)
		}
	}
	for _, two := range []struct {
		key  string
		size *Dimensions
	}{{"fit", s.Fit}, {"exact", s.Exact}} {
		if two.size != nil && !two.size.sound() {
			return at(two.key, "%s must be two numbers of pixels, as in %s = [3840, 2160], or paper, as in %s = \"10x15 cm\", \"8x10 in\" or \"A4\"", two.key, two.key, two.key)
		}
	}
	for _, n := range []struct {
		key      string
		v        *float64
		from, to float64
	}{{"sharpen", s.Sharpen, 0, 20}, {"sharpen_radius", s.SharpenRadius, 0.1, 20}, {"sharpen_threshold", s.SharpenThreshold, 0, 255}} {
		if n.v != nil && !(*n.v >= n.from && *n.v <= n.to) {
			return at(n.key, "%s is %v: it must be %v to %v", n.key, *n.v, n.from, n.to)
		}
	}
	if f := s.checkProofs(at); f != nil {
		return f
	}
	return s.checkWords(at)
}

func (s SetSettings) checkWords(at faultAt) *misset {
	if f := oneOf(at, "chroma", s.Chroma, "full", "half"); f != nil {
		return f
	}
	if f := oneOf(at, "space", s.Space, "sRGB", "Display P3", "Adobe RGB"); f != nil {
		return f
	}
	for _, k := range s.Keep {
		if f := oneOf(at, "keep", &k, Keeps...); f != nil {
			return f
		}
	}
	for _, k := range s.CropAt {
		if f := oneOf(at, "crop_at", &k, "top", "bottom", "left", "right"); f != nil {
			return f
		}
	}
	if s.Name != nil {
		if err := validName(*s.Name); err != nil {
			return at("name", "name %v", err)
		}
		if word := unknownField(*s.Name); word != "" {
			return at("name", "name holds %s: there are %s%s", cull.Plain(word), strings.Join(NameFields, ", "), meant(strings.Trim(word, "{}"), bare(NameFields)))
		}
		if strings.TrimSpace(*s.Name) == "" || len(*s.Name) > 200 {
			return at("name", "name must be a text of 1 to 200 bytes, as in name = \"{number}-{name}\"")
		}
	}
	return nil
}

func checkStamp(s StampSettings) *misset {
	at := func(key, format string, args ...any) *misset {
		return &misset{[]string{"stamp", key}, fmt.Sprintf(format, args...)}
	}
	if s.Text != nil && s.Picture != nil {
		return at("picture", "a stamp is a text or a picture, not both")
	}
	if f := oneOf(at, "corner", s.Corner, Corners...); f != nil {
		return f
	}
	if f := oneOf(at, "edge", s.Edge, "short", "long"); f != nil {
		return f
	}
	for _, n := range []struct {
		key        string
		v          *float64
		below, top float64
	}{{"size", s.Size, 0, 1}, {"margin", s.Margin, -1e-9, 0.49}, {"opacity", s.Opacity, 0, 1}} {
		if n.v != nil && !(*n.v > n.below && *n.v <= n.top) {
			return at(n.key, "%s is %v: it is a share of 1, as in %s = 0.03", n.key, *n.v, n.key)
		}
	}
	if s.Text != nil {
		if err := validName(strings.ReplaceAll(*s.Text, "\n", " ")); err != nil {
			return at("text", "text %v", err)
		}
	}
	return nil
}

// oneOf accepts a word of a list, in letters of any case.
func oneOf(at faultAt, key string, word *string, words ...string) *misset {
	if word == nil || slices.ContainsFunc(words, func(w string) bool { return strings.EqualFold(w, *word) }) {
		return nil
	}
	return at(key, "%s is %q: there are %s%s", key, cull.Plain(*word), strings.Join(words, ", "), meant(*word, words))
}

// NameFields are what a pattern of names may hold.
var NameFields = []string{"{name}", "{number}", "{date}", "{time}", "{frame}", "{scene}", "{body}", "{set}"}

func bare(fields []string) []string {
	var words []string
	for _, f := range fields {
		words = append(words, strings.Trim(f, "{}"))
	}
	return words
}

// unknownField is the first field of a pattern that nobody knows, or a lone brace.
func unknownField(pattern string) string {
	for pattern != "" {
		open := strings.IndexAny(pattern, "{}")
		if open < 0 {
			return ""
		}
		end := strings.IndexByte(pattern[open:], '}')
		if pattern[open] == '}' || end < 0 {
			return pattern[open:]
		}
		field := pattern[open : open+end+1]
		if !slices.Contains(NameFields, field) {
			return field
		}
		pattern = pattern[open+end+1:]
	}
	return ""
}

// besides resolves the files that a stamp names, which lie where the settings do.
func (s StampSettings) besides(dir string) StampSettings {
	for _, path := range []**string{&s.Font, &s.Picture} {
		if *path != nil && **path != "" && !filepath.IsAbs(**path) {
			full := filepath.Join(dir, filepath.FromSlash(**path))
			*path = &full
		}
	}
	return s
}
