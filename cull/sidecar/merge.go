package sidecar

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"garner/preview/xmp"
)

// merge is the work on one sidecar.
type merge struct {
	Request
	doc     *xmp.Doc
	edits   []xmp.Edit
	last    Values // of Request.Last; zero where unknown
	claimed bool   // Last is unknown, but the date says that we wrote the file
	wrote   Values
	reasons []string
}

// Merge decides about one sidecar. Running it on its own result changes nothing.
func Merge(r Request) Result {
	m := &merge{Request: r}
	if r.Last != nil {
		m.last = *r.Last
	}
	if err := r.Want.valid(); err != nil {
		return m.failed(err)
	}
	if r.Old == nil {
		return m.fresh()
	}
	var err error
	if m.doc, err = xmp.Parse(r.Old); err != nil {
		return m.failed(err)
	}
	date, _ := m.doc.Get(xmp.NSXMP, "MetadataDate")
	m.claimed = r.Last == nil && r.Want.MetadataDate != "" && date == r.Want.MetadataDate
	m.judgements()
	m.keywords()
	m.date()
	return m.finish()
}

func (v Values) valid() error {
	if v.Rating != nil && (*v.Rating < -1 || *v.Rating > 5) {
		return fmt.Errorf("rating %d is not one of -1 to 5", *v.Rating)
	}
	return nil
}

func (m *merge) failed(err error) Result {
	return Result{Action: Failed, Reason: err.Error(), Wrote: m.last}
}

// fresh makes a sidecar where there is none. A frame without a decision gets
// none, also if the one we wrote has been deleted since.
func (m *merge) fresh() Result {
	if m.Want.IsZero() {
		return Result{Action: Unchanged}
	}
	declare := []xmp.Namespace{{URI: xmp.NSXMP, Prefix: "xmp"}, {URI: xmp.NSXMPDM, Prefix: "xmpDM"}}
	if len(m.Want.Keywords) > 0 || m.Want.Creator != "" || m.Want.Rights != "" {
		declare = append(declare, xmp.Namespace{URI: xmp.NSDC, Prefix: "dc"})
	}
	if m.Want.Original != "" {
		declare = append(declare, xmp.Namespace{URI: xmp.NSExif, Prefix: "exif"})
	}
	if m.Want.Credit != "" {
		declare = append(declare, xmp.Namespace{URI: xmp.NSPress, Prefix: "press"})
	}
	var err error
	if m.doc, err = xmp.New(declare...); err != nil {
		return m.failed(err)
	}
	m.last = Values{}
	m.judgements()
	m.keywords()
	m.date()
	out := m.finish()
	if out.Action == Merged {
		out.Action = Written
	}
	return out
}

// finish makes the edits and names the outcome.
func (m *merge) finish() Result {
	out := Result{Action: Unchanged, Wrote: m.wrote, Reason: strings.Join(m.reasons, "; ")}
	if len(m.edits) > 0 {
		b, err := m.doc.Apply(m.edits)
		if err != nil {
			return m.failed(err)
		}
		out.Action, out.Bytes = Merged, b
		if m.Want.IsZero() {
			out.Action = Withdrawn
		}
	}
	if len(m.reasons) > 0 {
		out.Action = Conflict
	}
	return out
}

// step is what happens to one simple property.
type step struct {
	edit    *xmp.Edit
	ours    string // our value in the file afterwards; "" = none
	blocked string // why it could not be done
}

// judgements plans the simple properties.
func (m *merge) judgements() {
	all := fields()
	steps := make([]step, len(all))
	blocked := false
	for i := range all {
		steps[i] = m.step(&all[i])
		blocked = blocked || all[i].judges && steps[i].blocked != ""
	}
	for i := range all {
		f, s := &all[i], steps[i]
		if s.blocked != "" {
			m.reasons = append(m.reasons, s.blocked)
		}
		if blocked && f.judges && s.edit != nil && f.get(&m.Want) != "" {
			// The other half of the judgement is somebody else's: leave this half too.
			s.edit, s.ours = nil, ""
			have, _ := f.read(m.doc)
			if last := f.get(&m.last); last != "" && f.same(have, last) {
				s.ours = last
			}
		}
		if s.edit != nil {
			m.edits = append(m.edits, *s.edit)
		}
		f.put(&m.wrote, s.ours)
	}
}

// step decides about one property by comparing three values: in the file,
// wanted, and written last time.
func (m *merge) step(f *field) step {
	want, last := f.get(&m.Want), f.get(&m.last)
	have, simple := f.read(m.doc)
	kind := m.doc.Kind(f.ns, f.name)
	label := f.prefix + ":" + f.name
	set := func() step { return step{edit: f.set(m.doc, want), ours: want} }
	ours := last != "" && f.same(have, last)
	switch {
	case kind != xmp.Absent && !simple:
		if want == "" && last == "" {
			return step{}
		}
		return step{ours: last, blocked: fmt.Sprintf("%s is not a single text in the file (%s)", label, kind)}
	case want == "" && simple && ours:
		return step{edit: f.set(m.doc, "")}
	case want == "":
		return step{} // what is there is not ours
	case !simple:
		return set()
	case f.same(have, want):
		if ours || m.claimed {
			return step{ours: want}
		}
		return step{}
	case ours, f.nobodys(have), m.Replace && !f.firm:
		return set()
	}
	return step{blocked: fmt.Sprintf("%s is %s, which is not ours; wanted %s", label, quote(have), quote(want))}
}

// keywords plans dc:subject. Only keywords that we added are ever removed.
func (m *merge) keywords() {
	const ns, local = xmp.NSDC, "subject"
	asked := m.Want.Keywords != nil || m.Want.IsZero()
	if !asked {
		m.wrote.Keywords = m.last.Keywords
		return
	}
	have := m.doc.Bag(ns, local)
	var add, remove []string
	for _, k := range m.Want.Keywords {
		switch {
		case k == "" || slices.Contains(m.wrote.Keywords, k) || slices.Contains(add, k):
		case !slices.Contains(have, k):
			add = append(add, k)
		case slices.Contains(m.last.Keywords, k):
			m.wrote.Keywords = append(m.wrote.Keywords, k)
		}
	}
	for _, k := range m.last.Keywords {
		if slices.Contains(have, k) && !slices.Contains(m.Want.Keywords, k) && !slices.Contains(remove, k) {
			remove = append(remove, k)
		}
	}
	if len(add)+len(remove) == 0 {
		return
	}
	switch kind := m.doc.Kind(ns, local); kind {
	case xmp.Absent, xmp.Bag, xmp.Seq:
		m.edits = append(m.edits, xmp.Edit{NS: ns, Prefix: "dc", Name: local, AddToBag: add, RemoveFromBag: remove})
		m.wrote.Keywords = append(m.wrote.Keywords, add...)
	default:
		m.reasons = append(m.reasons, fmt.Sprintf("dc:subject is not a list of keywords in the file (%s)", kind))
	}
}

// quote makes a string from a file safe to show, and short.
func quote(s string) string {
	const most = 60
	if r := []rune(s); len(r) > most {
		s = string(r[:most]) + "…"
	}
	return strconv.QuoteToGraphic(s)
}
