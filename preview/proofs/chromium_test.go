package proofs

import (
	"bytes"
	"encoding/json"
	"image/png"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"garner/testdata/testneed"
)

// axe is an accessibility engine that knows WCAG 2.2 (npm axe-core, MPL-2.0; the sum
// is that of .ci/faces).
func axe(t *testing.T) string {
	t.Helper()
	dir := testneed.Unpacked(t, "axe-core", "4.14.1", "e6b0ce02b84d892e2e33e403485e7f3d6c29e2be6df65daf44d89ba564139745")
	b, err := os.ReadFile(filepath.Join(dir, "axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// window is a size and a taste; 320 pixels are those of WCAG 2.2, 1.4.10.
type window struct {
	name string
	w, h int
	dark bool
}

// sees looks at the picture 0401, 960x640, in its view: the sun is at two ninths of its
// width, and beside the picture is background.
func (v window) sees(b *browser, left, top, right, bottom float64) {
	b.t.Helper()
	b.eval(`document.querySelector(":target img").decode().then(() => new Promise(f => requestAnimationFrame(() => requestAnimationFrame(f)))).then(() => 0)`, nil)
	shot := b.shot()
	keep(b.t, v.name+"-view.png", shot)
	m, err := png.Decode(bytes.NewReader(shot))
	if err != nil {
		b.t.Fatal(err)
	}
	scale := min((right-left)/960, (bottom-top)/640)
	at := func(fx, fy float64) (r, g, b uint32) {
		r, g, b, _ = m.At(int((left+right)/2+(fx-0.5)*960*scale), int((top+bottom)/2+(fy-0.5)*640*scale)).RGBA()
		return r >> 8, g >> 8, b >> 8
	}
	if r, g, bl := at(2./9, 1./4); r < 245 || g < 230 || bl < 165 || bl > 195 {
		b.t.Errorf("%s: the sun is %d %d %d", v.name, r, g, bl)
	}
	if r, _, _ := at(0.5, 1.02); (r < 128) != v.dark {
		b.t.Errorf("%s: below the picture it is %d", v.name, r)
	}
}

type finding struct {
	ID, Impact, Help string
	Nodes            []struct{ HTML string }
}

// findings runs axe on what is to be seen.
func findings(b *browser, rules ...string) []finding {
	b.t.Helper()
	var out []finding
	only, err := json.Marshal(rules) // null = all
	if err != nil {
		b.t.Fatal(err)
	}
	b.eval(`axe.run(document, {resultTypes: ["violations"], runOnly: `+string(only)+` || undefined}).then(r => r.violations.map(v => ({ID: v.id, Impact: v.impact, Help: v.help, Nodes: v.nodes.slice(0, 2).map(n => ({HTML: n.html.slice(0, 300)}))})))`, &out)
	return out
}

// The page in a real browser: what it loads, its widths, its colours, keys alone,
// and what axe says of it.
func TestPageInChromium(t *testing.T) {
	engine := axe(t)
	b := open(t)
	p, files := invented(t)
	page, err := p.HTML()
	if err != nil {
		t.Fatal(err)
	}
	files[Index] = page
	dir := folder(t, files)
	home := (&url.URL{Scheme: "file", Path: filepath.ToSlash(filepath.Join(dir, Index))}).String()

	for i, view := range []window{{"narrow", 320, 568, false}, {"phone", 390, 844, false}, {"phone-dark", 390, 844, true}, {"desk", 1280, 800, false}, {"desk-dark", 1280, 800, true}} {
		b.window(view.w, view.h, view.dark)
		b.visit(home)
		b.until(`[...document.images].filter(i => i.className == "" && i.closest(".thumb") && i.getBoundingClientRect().top < innerHeight).every(i => i.complete && i.naturalWidth > 0)`)
		var wide struct {
			Page, Window, Font float64
			Small              []string // targets under 24 by 24 pixels (WCAG 2.2, 2.5.8)
			Beyond             []string
			Back               string
		}
		b.eval(`({Page: document.documentElement.scrollWidth, Window: innerWidth, Font: parseFloat(getComputedStyle(document.body).fontSize),
			Small: [...document.links].filter(a => a.getClientRects().length && !a.matches(".skip")).filter(a => { const r = a.getBoundingClientRect(); return r.width < 24 || r.height < 24 }).map(a => a.outerHTML.slice(0, 100)),
			Beyond: [...document.body.querySelectorAll("header *, nav *, li, .thumb img")].filter(e => e.getClientRects().length && e.getBoundingClientRect().right > innerWidth + 0.5).map(e => e.outerHTML.slice(0, 100)),
			Back: getComputedStyle(document.body).backgroundColor})`, &wide)
		if wide.Page > wide.Window || wide.Window != float64(view.w) || len(wide.Beyond) > 0 {
			t.Errorf("%s: the page is %g pixels wide in a window of %g; beyond it: %q", view.name, wide.Page, wide.Window, wide.Beyond)
		}
		if wide.Font < 16 || len(wide.Small) > 0 {
			t.Errorf("%s: letters of %g pixels, small targets %q", view.name, wide.Font, wide.Small)
		}
		if want := map[bool]string{false: "rgb(251, 250, 248)", true: "rgb(22, 22, 23)"}[view.dark]; wide.Back != want {
			t.Errorf("%s: the background is %s, not %s", view.name, wide.Back, want)
		}
		keep(t, view.name+".png", b.shot())

		// Colours do not change with the width, nor the order with the colours.
		listen := view.name == "phone" || view.name == "desk-dark"
		if listen {
			b.eval(engine, nil)
			report(t, view.name, findings(b))
		}
		if i == 0 && slices.ContainsFunc(b.requests, func(r string) bool { return strings.Contains(r, "/large/") }) {
			t.Errorf("large pictures are loaded before one is opened")
		}
		b.visit(home + "#v-0401")
		b.until(`[...document.querySelectorAll("#v-0401 img")].every(i => i.complete && i.naturalWidth > 0)`)
		var place struct{ Top, Bottom, Left, Right, Width float64 }
		b.eval(`(r => ({Top: r.top, Bottom: r.bottom, Left: r.left, Right: r.right, Width: r.width}))(document.querySelector("#v-0401 img").getBoundingClientRect())`, &place)
		if place.Top < 0 || place.Left < 0 || place.Bottom > float64(view.h) || place.Right > float64(view.w) || place.Width < float64(view.w)*0.9 {
			t.Errorf("%s: the picture of the view lies at %+v", view.name, place)
		}
		view.sees(b, place.Left, place.Top, place.Right, place.Bottom)
		if listen {
			b.eval(engine, nil)
			report(t, view.name+", view", findings(b))
		}
	}
	keys(t, b, home)
	if os.Getenv("GARNER_LOOK") != "" {
		keep(t, "print.pdf", b.print())
	}

	for _, r := range b.requests {
		if !strings.HasPrefix(r, "file://"+filepath.ToSlash(dir)+"/") && r != "about:blank" {
			t.Errorf("the page asked for %s", r)
		}
	}
	if len(b.blocked) > 0 {
		t.Errorf("%d faults and blocked requests, the first: %q", len(b.blocked), b.blocked[0])
	}
	// axe finds what is wrong where something is: otherwise its silence means nothing.
	b.eval(`document.querySelector(".thumb img").removeAttribute("alt"); document.querySelector("h1").style.color = "#eee"; document.querySelector("h1").style.background = "#fff"`, nil)
	b.eval(engine, nil)
	var found []string
	for _, f := range findings(b, "image-alt", "color-contrast") {
		found = append(found, f.ID)
	}
	if s := strings.Join(found, " "); !strings.Contains(s, "image-alt") || !strings.Contains(s, "color-contrast") {
		t.Errorf("of a broken page axe says %q", s)
	}
}

func report(t *testing.T, where string, all []finding) {
	t.Helper()
	for _, f := range all {
		if f.Impact == "serious" || f.Impact == "critical" || f.Impact == "moderate" {
			t.Errorf("%s: axe: %s (%s): %s: %q", where, f.ID, f.Impact, f.Help, f.Nodes)
		} else {
			t.Logf("%s: axe: %s (%s): %s", where, f.ID, f.Impact, f.Help)
		}
	}
}

// keys goes through the page by keys alone.
func keys(t *testing.T, b *browser, home string) {
	t.Helper()
	b.window(1280, 800, false)
	b.call("Page.navigate", map[string]any{"url": "about:blank"}, nil) // nothing has the focus
	b.visit(home)
	focus := func() (s string) {
		b.eval(`(e => e.id || e.className || e.textContent)(document.activeElement)`, &s)
		return s
	}
	step := func(do func(), want string) {
		t.Helper()
		do()
		if got := focus(); got != want {
			t.Fatalf("the focus is on %q, not %q", got, want)
		}
	}
	step(b.tab, "skip")
	var left float64
	if b.eval(`document.querySelector(".skip").getBoundingClientRect().left`, &left); left < 0 {
		t.Error("the link past the scenes is not to be seen when it has the focus")
	}
	step(b.enter, "pictures")
	step(b.tab, "n-0401")
	step(b.tab, "n-A-0402")
	step(b.enter, "v-A-0402")
	step(b.tab, "Previous")
	step(b.tab, "Next")
	b.enter()
	var at struct{ Hash, Number string }
	b.eval(`({Hash: decodeURIComponent(location.hash), Number: document.querySelector(":target strong").textContent})`, &at)
	if at.Number != "0403 ч/б" {
		t.Errorf("next is %q", at.Number)
	}
	var behind bool
	b.eval(`getComputedStyle(document.querySelector("h1")).visibility == "visible"`, &behind)
	if behind {
		t.Error("what lies behind a view can be seen and reached")
	}
	b.tab()
	b.tab()
	step(b.tab, "Close")
	b.enter()
	if got := focus(); got != strings.Replace(strings.TrimPrefix(at.Hash, "#"), "v-", "n-", 1) {
		t.Errorf("after closing, the focus is on %q", got)
	}
}
