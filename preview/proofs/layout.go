package proofs

import (
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

const (
	maxPictures = 20_000
	maxNumber   = 64 // letters
	maxSide     = 65_535
)

// laid is a Page that was found to be in order: clean texts, and ids.
type laid struct {
	title, studio string
	note          []string
	scenes        []scene
	sheets        []Paper
	count         int
	files         []string // sorted
}

type scene struct {
	name     string
	id       string
	pictures []picture
}

type picture struct {
	number, alt  string // alt without the number
	slug         string
	small, large File
}

func (p *Page) layOut() (*laid, error) {
	l := &laid{title: cleanLine(p.Title), studio: cleanLine(p.Studio), note: paragraphs(p.Note)}
	if l.title == "" {
		return nil, &InputError{"the page", "has no title"}
	}
	numbers, files := map[string]string{}, map[string]string{Index: ""}
	// claim takes a name of a file for the picture of a number, as file systems
	// that do not tell cases apart see it.
	claim := func(name, number string) error {
		key := strings.ToLower(name)
		if by, taken := files[key]; taken && (by != number || number == "") {
			if by == "" {
				return &InputError{"picture " + number, fmt.Sprintf("has the file %s, which is not a picture's", name)}
			}
			return &InputError{"picture " + number, fmt.Sprintf("has the file %s, which is that of %s", name, by)}
		}
		files[key] = number
		l.files = append(l.files, name)
		return nil
	}
	for _, paper := range p.Sheets {
		if !paper.known() {
			return nil, &InputError{"a contact sheet", "is on unknown paper"}
		}
		if slices.Contains(l.sheets, paper) {
			continue
		}
		l.sheets = append(l.sheets, paper)
		if err := claim(SheetName(paper), ""); err != nil {
			return nil, err
		}
	}
	for _, s := range p.Scenes {
		if len(s.Pictures) == 0 {
			continue
		}
		out := scene{name: cleanLine(s.Name), id: "s-" + strconv.Itoa(len(l.scenes)+1)}
		if out.name == "" {
			out.name = "Pictures"
		}
		if l.count += len(s.Pictures); l.count > maxPictures {
			return nil, &InputError{"the page", fmt.Sprintf("has more than %d pictures", maxPictures)}
		}
		for _, in := range s.Pictures {
			pic, err := in.check()
			if err != nil {
				return nil, err
			}
			key := strings.ToLower(pic.slug)
			if other, taken := numbers[key]; taken {
				return nil, &InputError{"picture " + pic.number, fmt.Sprintf("cannot be told from picture %s by its number", other)}
			}
			numbers[key] = pic.number
			for _, f := range []File{pic.small, pic.large} {
				if err := claim(f.Name, pic.number); err != nil {
					return nil, err
				}
			}
			out.pictures = append(out.pictures, pic)
		}
		l.scenes = append(l.scenes, out)
	}
	if l.count == 0 {
		return nil, &InputError{"the page", "has no picture"}
	}
	slices.Sort(l.files)
	l.files = slices.Compact(l.files)
	return l, nil
}

func (p Picture) check() (picture, error) {
	out := picture{number: cleanLine(p.Number), alt: cleanLine(p.Alt), small: p.Small, large: p.Large}
	if out.large == (File{}) {
		out.large = out.small
	}
	switch n := utf8.RuneCountInString(out.number); {
	case n == 0:
		return picture{}, &InputError{fmt.Sprintf("picture %q", cleanLine(p.Small.Name)), "has no number"}
	case n > maxNumber:
		return picture{}, &InputError{"picture " + string([]rune(out.number)[:maxNumber]) + "…", fmt.Sprintf("has a number of more than %d letters", maxNumber)}
	}
	out.slug = slug(out.number)
	for _, f := range []File{out.small, out.large} {
		if !local(f.Name) {
			return picture{}, &InputError{"picture " + out.number, fmt.Sprintf("has the file %q, which is no name below the page's folder", f.Name)}
		}
		if f.Width < 1 || f.Height < 1 || f.Width > maxSide || f.Height > maxSide {
			return picture{}, &InputError{"picture " + out.number, fmt.Sprintf("has a size of %dx%d pixels (1 to %d)", f.Width, f.Height, maxSide)}
		}
	}
	if out.small.Name == out.large.Name && out.small != out.large {
		return picture{}, &InputError{"picture " + out.number, "has one file in two sizes"}
	}
	return out, nil
}

// local reports whether a name stays below the page's folder everywhere, and is
// the same for every system and browser.
func local(name string) bool {
	return fs.ValidPath(name) && name != "." && !strings.ContainsAny(name, `\:*?"<>|`) && cleanLine(name) == name
}
