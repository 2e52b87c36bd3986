package station

import "slices"

// stands is where the job stands on its way from the cards to the disk that is free
// again.
type stands struct {
	lines  []string
	asking bool // it is being found out
}

// standsNews is what was found out.
type standsNews struct{ lines []string }

// AskStands has found out anew where the job stands: files and bags are looked at for it,
// beside the keys.
func (d *Desk) AskStands() {
	if d.o.Stands == nil || d.stands.asking {
		return
	}
	d.stands.asking = true
	d.beside(func() {
		lines := d.o.Stands(d.ctx)
		d.mail.put(func(n *News) { n.stands = &standsNews{lines} })
	})
}

// Stands says where the job stood when that was last found out, a line each; nil = that is
// not known, or not yet.
func (d *Desk) Stands() []string { return slices.Clone(d.stands.lines) }

func (d *Desk) takeStands(n standsNews) {
	d.stands = stands{lines: n.lines}
}
