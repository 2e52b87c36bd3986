package plan

import (
	"path"
	"strings"

	"garner/cull/scan"
)

// file is a file of a source while it is planned.
type file struct {
	src    *File
	step   int
	source int
	name   string // portable
	key    string // Fold of name
	shot   *scan.Exposure
	tree   bool  // outside DCIM of a card that has one
	broken bool  // a camera's file in which no picture could be found
	stand  *file // of another source, which can stand in for it because its name, size and time say so
	stands *file // for which it stands in
	day    string
	leader *held // holds the same content already
	first  *file // the first file of the sources with this content, if not this
	held   *held // its own place
	done   bool  // nothing more to decide
}

// readable reports that both ends of a file were read.
func (f *file) readable() bool { return f.src.Err == nil }

func (f *file) content() content { return content{f.src.Size, f.src.Ends} }

func (f *file) ref() Ref { return Ref{f.source, f.src.Path} }

// object is what one folder of a source has under one stem: the files of one
// press of the shutter (DCF 2.0, DCF object), which stay together.
type object struct {
	source int
	dir    string // on the source
	rel    string // folder below the letter; "" = none
	relKey string
	stems  []string // folded, first the one it goes by
	letter string   // "" = unknown
	files  []*file
}

// lead is the picture that speaks for the object, nil if there is none.
func (o *object) lead() *file {
	var lead *file
	for _, f := range o.files {
		if f.shot != nil && (lead == nil || f.shot.Class < lead.shot.Class) {
			lead = f
		}
	}
	return lead
}

// objectKey tells the objects of a source apart. Of two files that would have one
// name the second begins an object of its own.
type objectKey struct {
	dir, stem string
	layer     int
}

// grouping puts a source's files into objects.
type grouping struct {
	source  int
	dcim    bool
	objects []*object
	by      map[objectKey]*object
	names   map[place]int // how many files of a folder have this name
	rels    map[string][2]string
}

func group(source int, dcim bool, files []*file) []*object {
	g := grouping{source: source, dcim: dcim, by: map[objectKey]*object{}, names: map[place]int{}, rels: map[string][2]string{}}
	var named []*file // may be named after a file: IMG_0001.CR3.xmp
	for _, f := range files {
		if strings.EqualFold(path.Ext(f.name), ".xmp") && path.Ext(stemOf(f.name)) != "" {
			named = append(named, f)
		} else {
			g.put(f, stemOf(f.key))
		}
	}
	for _, f := range named {
		stem := stemOf(f.key)
		if g.names[place{path.Dir(f.src.Path), stem}] > 0 {
			g.put(f, stemOf(stem))
		} else {
			g.put(f, stem)
		}
	}
	return g.objects
}

func (g *grouping) put(f *file, stem string) {
	dir := path.Dir(f.src.Path)
	name := place{dir, f.key}
	k := objectKey{dir, stem, g.names[name]}
	g.names[name]++
	o := g.by[k]
	if o == nil {
		rel := g.relOf(dir)
		o = &object{source: g.source, dir: dir, rel: rel[0], relKey: rel[1], stems: []string{stem}}
		g.by[k] = o
		g.objects = append(g.objects, o)
	}
	if own := stemOf(f.key); own != stem && own != o.stems[len(o.stems)-1] {
		o.stems = append(o.stems, own)
	}
	o.files = append(o.files, f)
}

// relOf is the folder below the letter, portable, and its key.
func (g *grouping) relOf(dir string) [2]string {
	if g.dcim || dir == "." {
		return [2]string{}
	}
	rel, ok := g.rels[dir]
	if !ok {
		rel[0], _ = portablePath(dir)
		rel[1] = Fold(rel[0])
		g.rels[dir] = rel
	}
	return rel
}

// inDCIM reports a path below the folder of cameras' pictures.
func inDCIM(p string) bool {
	top, _, below := strings.Cut(p, "/")
	return below && strings.EqualFold(top, "DCIM")
}
