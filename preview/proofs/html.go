package proofs

import (
	_ "embed"
	"fmt"
	"html"
	"math"
	"net/url"
	"strconv"
	"strings"
)

// style is the page's whole appearance.
//
//go:embed style.css
var style string

// policy is what the page forbids itself (Content Security Policy 3): all but its
// own style and the pictures beside it.
const policy = "script-src 'none'; connect-src 'none'; font-src 'none'; object-src 'none'; frame-src 'none'; media-src 'none'; form-action 'none'; base-uri 'none'"

// HTML returns the page. It is well-formed as XML too, so that any reader of markup
// can check it.
func (p *Page) HTML() ([]byte, error) {
	l, err := p.layOut()
	if err != nil {
		return nil, err
	}
	w := &markup{}
	w.head(l)
	w.put(`<body id="top">` + "\n" + `<a class="skip" href="#pictures">Skip to the pictures</a>` + "\n")
	w.header(l)
	w.put(`<main id="pictures" tabindex="-1">` + "\n")
	all := make([]picture, 0, l.count)
	for _, s := range l.scenes {
		all = append(all, s.pictures...)
	}
	i := 0
	for _, s := range l.scenes {
		w.put(`<section aria-labelledby="%[1]s">`+"\n"+`<h2 id="%[1]s">%[2]s</h2>`+"\n<ul class=\"grid\">\n", s.id, bdi(s.name))
		for range s.pictures {
			w.picture(all, i)
			i++
		}
		w.put("</ul>\n</section>\n")
	}
	w.put("</main>\n")
	w.footer(l)
	w.put("</body>\n</html>\n")
	return sign([]byte(w.String())), nil
}

// markup is a page as it is written. Every text comes through bdi or quoted.
type markup struct{ strings.Builder }

func (w *markup) put(format string, args ...any) { fmt.Fprintf(w, format, args...) }

// quoted is a clean text as part of an attribute or of the title.
func quoted(s string) string { return html.EscapeString(s) }

// bdi is a clean text whose direction is its own affair.
func bdi(s string) string { return "<bdi>" + html.EscapeString(s) + "</bdi>" }

// address is a file beside the page. Without "./" the part before a colon would be
// taken for a scheme (RFC 3986 §4.2).
func address(name string) string {
	parts := strings.Split(name, "/")
	for i, s := range parts {
		parts[i] = url.PathEscape(s)
	}
	return html.EscapeString("./" + strings.Join(parts, "/"))
}

func (w *markup) head(l *laid) {
	title := l.title
	if l.studio != "" {
		title += " – " + l.studio
	}
	w.put("%s%s\"/>\n", opening, noSum)
	w.put(`<meta http-equiv="Content-Security-Policy" content="%s"/>`+"\n", policy)
	w.put("<title>%s</title>\n", quoted(title))
	for _, m := range [][2]string{
		{"viewport", "width=device-width, initial-scale=1"},
		{"color-scheme", "light dark"},
		{"referrer", "no-referrer"},
		{"robots", "noindex"},
		{"format-detection", "telephone=no"}, // a picture's number is none to call
	} {
		w.put(`<meta name="%s" content="%s"/>`+"\n", m[0], m[1])
	}
	w.put("<style>\n%s</style>\n</head>\n", style)
}

func (w *markup) header(l *laid) {
	w.put("<header>\n<h1>%s</h1>\n", bdi(l.title))
	if l.studio != "" {
		w.put("<p class=\"studio\">%s</p>\n", bdi(l.studio))
	}
	for _, s := range l.note {
		w.put("<p dir=\"auto\">%s</p>\n", html.EscapeString(s))
	}
	w.put("<p class=\"how\">%s. Open a picture to see it larger; name it by the number below it.</p>\n", pictures(l.count))
	if len(l.sheets) > 0 {
		w.put("<p class=\"how\">Contact sheets to print:")
		for _, paper := range l.sheets {
			w.put(` <a href="%s">%s</a>`, address(SheetName(paper)), paper.title())
		}
		w.put("</p>\n")
	}
	w.put("</header>\n")
	if len(l.scenes) < 2 {
		return
	}
	w.put("<nav aria-label=\"Scenes\">\n<ul>\n")
	for _, s := range l.scenes {
		w.put(`<li><a href="#%s">%s</a> <span>%s</span></li>`+"\n", s.id, bdi(s.name), pictures(len(s.pictures)))
	}
	w.put("</ul>\n</nav>\n")
}

func pictures(n int) string {
	if n == 1 {
		return "1 picture"
	}
	return strconv.Itoa(n) + " pictures"
}

// picture writes the i-th picture: a link in the grid, and the view that it opens.
func (w *markup) picture(all []picture, i int) {
	p := all[i]
	words := "Picture " + p.number
	if p.alt != "" {
		words += ": " + p.alt
	}
	// Very wide and very high ones get a place that others can stand beside.
	ratio := math.Max(0.5, math.Min(3, float64(p.small.Width)/float64(p.small.Height)))
	w.put(`<li style="--r:%.4f"><a class="thumb" id="n-%s" href="#v-%[2]s">`, ratio, p.slug)
	w.put(`<img src="%s" width="%d" height="%d" alt="%s" loading="lazy" decoding="async"/>`, address(p.small.Name), p.small.Width, p.small.Height, quoted(words))
	w.put(`<span class="number" aria-hidden="true">%s</span></a>`+"\n", bdi(p.number))

	w.put(`<div class="view" id="v-%s" role="group" aria-label="%s" tabindex="-1">`, p.slug, quoted("Picture "+p.number))
	w.put(`<img src="%s" width="%d" height="%d" alt="%s" loading="lazy" decoding="async"/>`, address(p.large.Name), p.large.Width, p.large.Height, quoted(words))
	w.put(`<p><strong>%s</strong>`, bdi(p.number))
	if p.alt != "" {
		w.put(` <span aria-hidden="true">%s</span>`, bdi(p.alt))
	}
	w.put(`</p><ul class="moves">`)
	move := func(to int, word string) {
		if to >= 0 && to < len(all) {
			w.put(`<li class="%s"><a href="#v-%s" aria-label="%s">%s</a></li>`, strings.ToLower(word), all[to].slug, quoted(word+": picture "+all[to].number), word)
		}
	}
	move(i-1, "Previous")
	move(i+1, "Next")
	w.put(`<li class="close"><a href="#n-%s" aria-label="%s">Close</a></li>`, p.slug, quoted("Close picture "+p.number))
	w.put(`<li><a href="%s" aria-label="%s">File</a></li></ul></div></li>`+"\n", address(p.large.Name), quoted("File of picture "+p.number))
}

func (w *markup) footer(l *laid) {
	w.put("<footer>\n<p>")
	if l.studio != "" {
		w.put("%s ", bdi(l.studio))
	}
	w.put("<a href=\"#top\">Back to the top</a></p>\n</footer>\n")
}
