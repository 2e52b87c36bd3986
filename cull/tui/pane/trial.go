package pane

// Trial is a picture as a set would have it, before it is cut: what stands above and
// below the picture.
type Trial struct {
	Set            string
	SetAt, SetsAll int // which set, from 1
	Picture        string
	At, Total      int    // which picture, from 1
	File           string // what its file would be called; "" = not known
	Number         int    // the picture's; 0 = not known
	NoName         string // why the name is not known

	Facts   []string // of the file, most important first
	Remarks []string // what a person should know of it
	Cutting bool     // there is no file yet
	Seen    string   // what is seen instead of the file: "what is cut away"; "" = the file
	Loupe   *Loupe   // what is seen close; nil = all of it is

	Notice Notice
	Hint   string // which keys there are
}

// Ranks of the parts of the two lines: what goes first has the highest.
const (
	rankTrial = iota
	rankTrialPlace
	rankTrialName
	rankTrialSets
	rankTrialFacts
	rankTrialRemarks = rankTrialFacts + 2 // size and bytes are wanted more
)

// Top returns the two lines above the picture: which picture in which set and what it
// would be called, and below that the file.
func (t Trial) Top(st *Styles, w int) []string {
	set := part{rank: rankTrial, forms: []row{{{st.Question, cut(clean(t.Set), max(8, w/4))}}}}
	picture := part{rank: rankTrial}
	for _, n := range names(t.Picture) {
		picture.forms = append(picture.forms, row{{st.Strong, n}})
	}
	picture.forms = append(picture.forms, row{{st.Strong, cut(clean(t.Picture), max(8, w/2))}})
	above := spread([]part{set, picture, t.name(st)}, []part{t.place(st)}, 2, w)

	var left, right []part
	if seen := clean(t.Seen); seen != "" {
		left = append(left, say(rankTrial, st.Pending, pad(seen)))
	}
	left = append(left, t.Loupe.parts(st)...)
	if t.Cutting {
		left = append(left, say(rankTrial, st.Quiet, "cutting"+more))
	}
	for i, f := range cleanAll(t.Facts) {
		left = append(left, say(rankTrialFacts+i, st.Text, f))
	}
	for _, r := range cleanAll(t.Remarks) {
		left = append(left, say(rankTrialRemarks, st.Warn, signBroken+" "+r, signBroken+" "+cut(r, 24), signBroken))
	}
	if t.SetsAll > 1 {
		right = append(right, say(rankTrialSets, st.Quiet, "set "+number(t.SetAt)+" of "+number(t.SetsAll)))
	}
	return []string{above.draw(Pen{}, w), spread(left, right, 2, w).draw(Pen{}, w)}
}

// name is what the file would be called, where that is known.
func (t Trial) name(st *Styles) part {
	p := part{rank: rankTrialName}
	file := clean(t.File)
	if file == "" {
		return say(rankTrialName, st.Quiet, clean(t.NoName))
	}
	becomes := seg{st.Quiet, "would be "}
	if t.Number > 0 {
		p.forms = append(p.forms, row{becomes, {st.Text, file}, {st.Quiet, ", number " + number(t.Number)}})
	}
	p.forms = append(p.forms, row{becomes, {st.Text, file}}, row{{st.Text, cut(file, 24)}})
	return p
}

func (t Trial) place(st *Styles) part {
	if t.Total <= 0 {
		return part{}
	}
	return say(rankTrialPlace, st.Text, "picture "+number(t.At)+" of "+number(t.Total), number(t.At)+" of "+number(t.Total))
}

// Bottom returns the last row: what was said, else which keys there are.
func (t Trial) Bottom(st *Styles, w int) string {
	return under(st, t.Notice, t.Hint, w)
}

// under is the last row of a screen beside the station: what was said at the left, and
// in what is left of the row the keys.
func under(st *Styles, n Notice, hint string, w int) string {
	keys := say(1, st.Quiet, clean(hint))
	said := n.part(st)
	if len(said.forms) == 0 {
		return spread([]part{keys}, nil, 3, w).draw(Pen{}, w)
	}
	return spread([]part{said}, []part{keys}, 3, w).draw(Pen{}, w)
}
