package term

// kittyPlaced shows pictures of the terminal's store at the cursor, above the
// cells.
type kittyPlaced struct{ *kittyStore }

func (k *kittyPlaced) send(o *ink, s *sheet) { k.transmit(o, s) }

func (k *kittyPlaced) show(o *ink, s *sheet, at spot) {
	if at.unknown { // nothing shines through clear pixels, and no text comes back later
		o.clear(at.area, Area{})
	}
	o.move(at.cells.Col, at.cells.Row)
	o.command("a=p,C=1,q=1,i=", s.id, ",p=", at.n, ",c=", s.cols, ",r=", s.rows)
}

func (k *kittyPlaced) hide(o *ink, id, n int) { o.command("a=d,d=i,q=2,i=", id, ",p=", n) }
