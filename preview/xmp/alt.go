package xmp

// defaultLanguage marks the text for readers of no language in particular (ISO
// 16684-1 §8.2.2.4).
const defaultLanguage = "x-default"

// AltText returns the text of a language alternative that has only one. It is
// false for one with several languages and for every other form.
func (d *Doc) AltText(ns, local string) (text string, ok bool) {
	at := d.props[name{ns, local}]
	if len(at) != 1 {
		return "", false
	}
	s, ok := d.onlyText(at[0])
	if !ok {
		return "", false
	}
	return d.siteText(s), true
}

// onlyText finds the text of a language alternative with one item.
func (d *Doc) onlyText(o occurrence) (site, bool) {
	list, ok := d.list(o)
	if !ok || list.local != "Alt" || len(list.kids) != 1 {
		return site{}, false
	}
	return d.elemSite(list.kids[0])
}
