package returned

import (
	"path"
	"slices"
	"strings"
	"unicode/utf8"
)

// stemOf is the name of a file without folder and extension, in lower case.
func stemOf(p string) string {
	base := path.Base(p)
	return strings.ToLower(strings.TrimSuffix(base, path.Ext(base)))
}

// telling reports whether a frame's name says something where it stands in another:
// 0001 or a1 stand in many.
func telling(stem string) bool {
	digits, others := 0, 0
	for i := range len(stem) {
		if isDigit(stem[i]) {
			digits++
		} else {
			others++
		}
	}
	return len(stem) >= 5 && others >= 2 && (digits >= 3 || others >= 6)
}

const longestStem = 255 // bytes of a name that are looked at

// named is the frames whose names stand in a name: for each place of it the longest
// one. Several places name the frames of a merge; each has its own set. It is strange
// if a body is named that has no such frame.
func (x *index) named(p string) (places []set, strange bool) {
	s := stemOf(p)
	if len(s) > longestStem {
		s = s[:longestStem]
	}
	var ends []int
	for i := 1; i <= len(s); i++ {
		if endsAt(s, i) {
			ends = append(ends, i)
		}
	}
	slices.Reverse(ends) // the longest first
	for i := 0; i < len(s); {
		next := i + 1
		if beginsAt(s, i) {
			for _, end := range ends {
				if end <= i {
					break
				}
				if fs := x.stems[s[i:end]]; len(fs) > 0 && telling(s[i:end]) {
					if fs := x.narrowed(fs, s[:i], path.Dir(p)); len(fs) > 0 {
						places = append(places, fs)
					} else {
						strange = true
					}
					next = end
					break
				}
			}
		}
		i = next
	}
	return places, strange
}

// beginsAt and endsAt are where a name may stand in another: not within a word, and
// not before or behind further digits of a number.
func beginsAt(s string, i int) bool {
	return utf8.RuneStart(s[i]) && (i == 0 || !isWord(s[i-1]) || !isWord(s[i]))
}

func endsAt(s string, i int) bool {
	if i == len(s) || !isWord(s[i]) {
		return true
	}
	return isDigit(s[i-1]) && !isDigit(s[i]) // 0001bw
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }
func isWord(c byte) bool  { return isDigit(c) || c >= 'a' && c <= 'z' || c >= utf8.RuneSelf }

// narrowed is those of some frames of one name whose body's letter stands before it
// (0412-A-IMG_0001), else those that lie in a folder of the same name, else all.
func (x *index) narrowed(fs []int, before, folder string) set {
	pick := func(ok func(f *Frame) bool) (out set) {
		for _, f := range fs {
			if ok(&x.frames[f]) {
				out = append(out, f)
			}
		}
		return out
	}
	if front := strings.TrimRight(before, "-_ "); front != before {
		out := pick(func(f *Frame) bool {
			rest, ok := strings.CutSuffix(front, strings.ToLower(f.Letter))
			return ok && f.Letter != "" && (rest == "" || !isWord(rest[len(rest)-1]))
		})
		if len(out) > 0 {
			return out
		}
		if x.otherLetter(front) {
			return nil
		}
	}
	if out := pick(func(f *Frame) bool { return strings.EqualFold(path.Base(path.Dir(f.Name)), path.Base(folder)) }); len(out) > 0 {
		return out
	}
	return set(fs)
}

// otherLetter reports whether a number and the letter of a body stand there, as
// handoff writes them: the name behind them is then that body's.
func (x *index) otherLetter(front string) bool {
	number, letter, ok := strings.Cut(front[strings.LastIndexAny(front, " /")+1:], "-")
	return ok && len(number) >= 3 && strings.Trim(number, "0123456789") == "" && x.letters[letter]
}

// names is what a picture's own name says, and sources what the names say that it
// carries inside. Of a merge several frames are named one by one.
func (x *index) names(p *Picture) (c claim, several set, strange bool) {
	return x.together(byName, false, []string{p.Path})
}

func (x *index) sources(p *Picture) (c claim, several set) {
	c, several, _ = x.together(bySource, true, p.Sources)
	return c, several
}

func (x *index) together(k kind, firm bool, names []string) (c claim, several set, strange bool) {
	c = claim{kind: k, firm: firm}
	all, alone := map[int]bool{}, map[int]bool{}
	for _, n := range names {
		places, other := x.named(n)
		strange = strange || other
		for _, s := range places {
			for _, f := range s {
				all[f] = true
			}
			if len(s) == 1 {
				alone[s[0]] = true
			}
		}
	}
	c.frames = setOf(all)
	if len(alone) > 1 {
		several = setOf(alone)
	}
	return c, several, strange
}
