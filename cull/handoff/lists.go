package handoff

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"unicode/utf8"

	"garner/cull"
	"garner/cull/evidence"
	"garner/cull/job"
	"garner/store/atomicfile"
)

// The lists written into the job: one path a line for scripts, a table for
// people, everything for programs.
const (
	ListText = "keeps.txt"
	ListCSV  = "keeps.csv"
	ListJSON = "keeps.json"
)

// textList is one job-relative path of a main file a line. A path with a line
// break cannot stand in it; skipped counts those.
func textList(keeps []Keep) (list []byte, skipped int) {
	var b bytes.Buffer
	for _, k := range keeps {
		if p := k.main().Path; strings.ContainsAny(p, "\r\n") {
			skipped++
		} else {
			b.WriteString(p + "\n")
		}
	}
	return b.Bytes(), skipped
}

// csvList is the table of RFC 4180. Its own writer, because the standard
// library's changes line breaks inside a field, and a name has to stay as it is.
func csvList(keeps []Keep) []byte {
	var b bytes.Buffer
	row := func(fields ...string) {
		for i, f := range fields {
			if i > 0 {
				b.WriteByte(',')
			}
			if strings.ContainsAny(f, "\",\r\n") {
				f = `"` + strings.ReplaceAll(f, `"`, `""`) + `"`
			}
			b.WriteString(f)
		}
		b.WriteString("\r\n")
	}
	row("order", "frame", "file", "body", "scene", "moment", "time", "zone", "answer", "passes", "iso", "seconds", "f",
		"lead", "offset_ev", "offset_by", "ev100", "flash", "grey")
	names := map[cull.ID]string{}
	for _, k := range keeps {
		names[k.Frame.ID] = k.Frame.Name
	}
	for _, k := range keeps {
		local, zone := k.Corrected.Text()
		row(strconv.Itoa(k.Order+1), k.Frame.Name, k.main().Path, k.Letter, k.Scene.Name, strconv.Itoa(k.Moment+1), local, zone, answerWord(k.Answer),
			strings.Join(k.Passes, " "), number(float64(k.Frame.Shot.ISO)), number(k.Frame.Shot.Seconds), number(k.Frame.Shot.FNumber),
			names[k.Lead], hundredths(k.offset()), string(k.Offset.By), hundredths(k.ev100()), word(k.Frame.Shot.Flash), word(k.grey()))
	}
	return b.Bytes()
}

// lists writes the lists of keepers into the job, those that are not as they
// should be.
func (s *state) lists(keeps []Keep) error {
	text, skipped := textList(keeps)
	s.sum.NotInText = skipped
	object, err := jsonList(keeps)
	if err != nil {
		return err
	}
	for _, l := range []struct {
		name string
		data []byte
	}{{ListText, text}, {ListCSV, csvList(keeps)}, {ListJSON, object}} {
		file := under(s.job.Root(), l.name)
		old, err := readBounded(s.fs, file)
		if err != nil || old == nil || !bytes.Equal(old, l.data) {
			err = atomicfile.WriteFile(s.fs, file, l.data, 0o666)
		}
		if err != nil { // a job on a medium that is not to be written
			s.tell(Line{Copy: l.name, Action: Failed, Reason: reason(err)})
			continue
		}
		s.sum.Lists = append(s.sum.Lists, l.name)
	}
	return nil
}

type jsonKeep struct {
	ID     cull.ID   `json:"id"`
	Frame  string    `json:"frame"`
	Raw    string    `json:"raw,omitempty"`
	Files  []string  `json:"files"`
	Bytes  []string  `json:"raw_files,omitempty"` // base64 of each file, where one is not UTF-8
	Body   *string   `json:"body"`
	Order  int       `json:"order"`
	Moment int       `json:"moment"`
	Scene  jsonScene `json:"scene"`
	Local  *string   `json:"local"`
	Zone   *string   `json:"zone"`
	Answer string    `json:"answer"`
	Passes []string  `json:"passes"`
	Lead   *string   `json:"lead"`
	Light  jsonLight `json:"light"`

	Measures *evidence.JSON `json:"measures"` // null = nothing was measured
}

// jsonLight is what is known of a keeper's light; null = not known.
type jsonLight struct {
	Offset *float64 `json:"offset_ev"`
	By     *string  `json:"offset_by"`
	EV100  *float64 `json:"ev100"`
	Flash  *bool    `json:"flash"`
	Grey   *bool    `json:"grey"`
}

type jsonScene struct {
	ID   int    `json:"id"`
	Name string `json:"name"`
}

// jsonList is one object with every keeper.
func jsonList(keeps []Keep) ([]byte, error) {
	list := struct {
		V     int        `json:"v"`
		Keeps []jsonKeep `json:"keeps"`
	}{1, make([]jsonKeep, 0, len(keeps))}
	for _, k := range keeps {
		j := jsonKeep{ID: k.Frame.ID, Frame: k.Frame.Name, Order: k.Order, Moment: k.Moment, Scene: jsonScene{k.Scene.ID, k.Scene.Name},
			Answer: answerWord(k.Answer), Passes: append([]string{}, k.Passes...)}
		if !utf8.ValidString(j.Frame) {
			j.Raw = base64.StdEncoding.EncodeToString([]byte(j.Frame))
		}
		exact := true
		for _, f := range k.Frame.Files {
			j.Files = append(j.Files, f.Path)
			j.Bytes = append(j.Bytes, base64.StdEncoding.EncodeToString([]byte(f.Path)))
			exact = exact && utf8.ValidString(f.Path)
		}
		if exact {
			j.Bytes = nil
		}
		local, zone := k.Corrected.Text()
		j.Body, j.Local, j.Zone = orNull(k.Letter), orNull(local), orNull(zone)
		j.Lead = orNull(string(k.Lead))
		j.Light = jsonLight{k.offset(), orNull(string(k.Offset.By)), k.ev100(), k.Frame.Shot.Flash, k.grey()}
		if m, ok := evidence.JSONOf(k.Measures); ok {
			j.Measures = &m
		}
		list.Keeps = append(list.Keeps, j)
	}
	b, err := json.MarshalIndent(list, "", "  ")
	return append(b, '\n'), err
}

func orNull(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

func answerWord(a cull.Answer) string {
	if a == cull.Part {
		return "part"
	}
	return "keep"
}

// offset is how much brighter the keeper is than its lead, in EV to two digits; nil =
// not known.
func (k Keep) offset() *float64 {
	if k.Offset.By == evidence.Unknown {
		return nil
	}
	return rounded(k.Offset.EV)
}

// ev100 is the keeper's exposure at ISO 100; nil where it says nothing of the light.
func (k Keep) ev100() *float64 {
	if !k.Light.HasEV {
		return nil
	}
	return rounded(k.Light.EV100)
}

// grey is whether the keeper's preview is black-and-white; nil = not known.
func (k Keep) grey() *bool {
	if !k.Looked {
		return nil
	}
	return &k.Light.Grey
}

func rounded(v float64) *float64 {
	v = math.Round(v*100)/100 + 0 // no negative zero
	return &v
}

func hundredths(v *float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(*v, 'f', 2, 64)
}

// word is a yes or a no; "" for what is not known.
func word(v *bool) string {
	switch {
	case v == nil:
		return ""
	case *v:
		return "yes"
	}
	return "no"
}

// number prints a measurement; "" for the zero that means unknown.
func number(v float64) string {
	if v == 0 {
		return ""
	}
	return strconv.FormatFloat(v, 'g', 6, 64)
}

// maxList bounds what is read of a list, in bytes.
const maxList = 256 << 20

// ListsFaces reports whether the list of the last handoff, which stays until the next
// one, tells of faces.
func ListsFaces(j *job.Job) bool {
	f, err := os.Open(filepath.Join(j.Root(), ListJSON))
	if err != nil {
		return false
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, maxList))
	return err == nil && bytes.Contains(b, []byte(strconv.Quote(cull.FacesMethodName)))
}
