package proofs

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"garner/preview/jpeg"
)

// maxJPEG bounds a picture of a contact sheet, in bytes.
const maxJPEG = 64 << 20

// printer writes contact sheets.
type printer struct {
	*objects
	page     *laid
	sheet    Sheet
	read     func(string) ([]byte, error)
	font     int // numbers of objects
	profile  int
	replaced []string
}

// PDF writes contact sheets of the small pictures to w. read returns the bytes of a
// file by its name; each is asked for once, in order, and not kept. They have to be JPEGs,
// grey or of three components, of the size that Small says. replaced are the texts
// that the sheets' font cannot show whole, each once.
func (p *Page) PDF(w io.Writer, s Sheet, read func(name string) ([]byte, error)) (replaced []string, err error) {
	l, err := p.layOut()
	if err != nil {
		return nil, err
	}
	if s, err = s.check(); err != nil {
		return nil, err
	}
	q := &printer{objects: begin(w), page: l, sheet: s, read: read}
	if err := q.print(); err != nil {
		return nil, err
	}
	return q.replaced, nil
}

func (q *printer) print() error {
	root, info, tree := q.reserve(), q.reserve(), q.reserve()
	q.font = q.reserve()
	q.object(q.font, "<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>")
	if q.sheet.Profile != nil {
		q.profile = q.reserve()
		q.stream(q.profile, "/N 3 /Alternate /DeviceRGB", q.sheet.Profile)
	}
	all := leaves(q.page, q.sheet)
	var kids strings.Builder
	var marks []mark
	for i, leaf := range all {
		n := q.reserve()
		if err := q.leaf(n, tree, i, len(all), leaf); err != nil {
			return err
		}
		fmt.Fprintf(&kids, " %d 0 R", n)
		for _, name := range leaf.names {
			if !name.again {
				marks = append(marks, mark{q.page.scenes[name.scene].name, n, name.y + nameSize + 6})
			}
		}
	}
	paper := papers[q.sheet.Paper]
	q.object(tree, "<< /Type /Pages /Count %d /Kids [%s ] /MediaBox [0 0 %s %s] >>", len(all), kids.String(), num(paper.width), num(paper.height))
	outline := q.outline(marks)
	q.object(root, "<< /Type /Catalog /Pages %d 0 R /Outlines %d 0 R /ViewerPreferences << /DisplayDocTitle true >> >>", tree, outline)
	about := "/Title " + textString(q.page.title)
	if q.page.studio != "" {
		about += " /Author " + textString(q.page.studio)
	}
	q.object(info, "<< %s >>", about)
	return q.end(root, info)
}

// leaf writes a page as object n, with its pictures and its content.
func (q *printer) leaf(n, tree, i, count int, l leaf) error {
	paper := papers[q.sheet.Paper]
	var draw, images strings.Builder
	right := paper.width - margin
	studio := q.text(q.page.studio, numSize, (right-margin)/3)
	titleRoom := right - margin - studio.length
	q.text(q.page.title, titleSize, titleRoom-gap).put(&draw, margin, paper.height-margin-titleSize)
	studio.put(&draw, right-studio.length, paper.height-margin-titleSize)
	foot := q.text(fmt.Sprintf("%d / %d", i+1, count), numSize, right-margin)
	foot.put(&draw, right-foot.length, margin)
	for _, name := range l.names {
		q.heading(name).put(&draw, name.x, name.y)
	}
	for k, at := range l.places {
		pic := q.page.scenes[at.scene].pictures[at.picture]
		image := q.reserve()
		if err := q.image(image, pic); err != nil {
			return err
		}
		fmt.Fprintf(&images, " /P%d %d 0 R", k, image)
		x, y, w, h := at.fit(pic.small.Width, pic.small.Height)
		fmt.Fprintf(&draw, "q %s 0 0 %s %s %s cm /P%d Do Q\n", num(w), num(h), num(x), num(y), k)
		number := q.text(pic.number, numSize, at.w)
		number.put(&draw, at.x+(at.w-number.length)/2, y-numSize-1)
	}
	content := q.reserve()
	q.stream(content, "", []byte(draw.String()))
	q.object(n, "<< /Type /Page /Parent %d 0 R /Contents %d 0 R /Resources << /ProcSet [/PDF /Text /ImageB /ImageC] /Font << /F %d 0 R >> /XObject <<%s >> >> >>",
		tree, content, q.font, images.String())
	return q.err
}

// image writes a picture as it is (ISO 32000-1, 8.9.5 and 7.4.8).
func (q *printer) image(n int, p picture) error {
	what := "picture " + p.number
	b, err := q.read(p.small.Name)
	if err != nil {
		return fmt.Errorf("proofs: %s: %w", what, err)
	}
	if len(b) > maxJPEG {
		return &InputError{what, fmt.Sprintf("is a file of more than %d MiB", maxJPEG>>20)}
	}
	h, err := jpeg.Config(bytes.NewReader(b), 0, int64(len(b)))
	if err != nil {
		return fmt.Errorf("proofs: %s: %s: %w", what, p.small.Name, err)
	}
	space := "/DeviceRGB"
	switch {
	case h.Width != p.small.Width || h.Height != p.small.Height:
		return &InputError{what, fmt.Sprintf("is said to have %dx%d pixels and has %dx%d", p.small.Width, p.small.Height, h.Width, h.Height)}
	case h.Precision != 8 || h.Components != 1 && h.Components != 3:
		return &InputError{what, fmt.Sprintf("has %d components of %d bits; grey and colour of 8 bits can be printed", h.Components, h.Precision)}
	case h.Components == 1:
		space = "/DeviceGray"
	case q.profile != 0:
		space = fmt.Sprintf("[/ICCBased %d 0 R]", q.profile)
	}
	q.stream(n, fmt.Sprintf("/Type /XObject /Subtype /Image /Width %d /Height %d /ColorSpace %s /BitsPerComponent 8 /Filter /DCTDecode", h.Width, h.Height, space), b)
	return q.err
}
