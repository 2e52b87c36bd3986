package bmff

import "slices"

// Brands are what a file's ftyp box says it is (§4.3), the major brand first.
type Brands []string

// maxBrands is how many are looked at; real files have about ten.
const maxBrands = 64

// Has reports whether one of the brands is among names.
func (b Brands) Has(names ...string) bool {
	return slices.ContainsFunc(names, func(n string) bool { return slices.Contains(b, n) })
}

// Major is the major brand.
func (b Brands) Major() string {
	if len(b) == 0 {
		return ""
	}
	return b[0]
}

// Brands reads an ftyp box.
func (r *Reader) Brands(ftyp Box) (Brands, error) {
	p, err := r.Content(ftyp, 8+4*maxBrands)
	if err != nil {
		return nil, err
	}
	var out Brands
	for i := 0; i+4 <= len(p); i += 4 {
		if i != 4 { // the minor version
			out = append(out, string(p[i:i+4]))
		}
	}
	return out, nil
}
