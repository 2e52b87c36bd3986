package xmp

import "slices"

// planList returns the splices that add items to an array and take some out.
func (d *Doc) planList(e *Edit, at []occurrence, wanted []string) ([]cut, error) {
	if len(at) == 0 {
		fresh := *e
		if fresh.AddToBag = distinct(e.AddToBag); len(fresh.AddToBag) == 0 {
			return nil, nil
		}
		return d.insert(&fresh, wanted)
	}
	list, ok := d.list(at[0])
	if !ok || list.local == "Alt" {
		return nil, e.refuse("not a list")
	}
	var have []string
	texts := make([]*string, len(list.kids))
	for i, li := range list.kids {
		if s, ok := d.elemSite(li); ok {
			text := d.siteText(s)
			texts[i] = &text
			have = append(have, text)
		}
	}
	gone := map[int]bool{}
	for _, item := range distinct(e.RemoveFromBag) {
		// The last of equal items, because new ones go to the end.
		for i := len(texts) - 1; i >= 0; i-- {
			if texts[i] != nil && *texts[i] == item && !gone[i] {
				gone[i] = true
				break
			}
		}
	}
	var added []string
	for _, item := range distinct(e.AddToBag) {
		if !slices.Contains(have, item) {
			added = append(added, item)
		}
	}
	if len(added) == 0 && len(gone) > 0 && len(gone) == len(list.kids) && d.plain(at[0].elem, list) {
		return d.removal(map[name]bool{e.key(): true}), nil
	}
	var cuts []cut
	for i := range gone {
		s := list.kids[i].span()
		s.lo = d.spaceBefore(s.lo)
		cuts = append(cuts, cut{span: s})
	}
	return append(cuts, d.append(list, added)...), nil
}

// append adds items at the end of an array.
func (d *Doc) append(list *node, values []string) []cut {
	if len(values) == 0 {
		return nil
	}
	items := d.items(values, list.prefix, d.childSpace(list))
	if !list.empty {
		at := d.spaceBefore(list.close.lo)
		return []cut{{span{at, at}, items}}
	}
	slash := span{list.open.hi - len("/>"), list.open.hi}
	end := d.ownLine(list.open.lo)
	return []cut{{slash, ">" + items + end + "</" + qualified(list.prefix, list.local) + ">"}}
}

// plain reports whether an array property has nothing besides its items:
// nothing is lost when it goes with the last of them.
func (d *Doc) plain(elem, list *node) bool {
	for _, n := range []*node{elem, list} {
		for i := range n.attrs {
			if n.attrs[i].ns != nsXMLNS {
				return false
			}
		}
		for _, p := range n.pieces {
			if p.kind != charData {
				return false
			}
		}
	}
	return true
}

func distinct(items []string) []string {
	var out []string
	for _, item := range items {
		if !slices.Contains(out, item) {
			out = append(out, item)
		}
	}
	return out
}
