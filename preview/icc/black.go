package icc

// This file finds the darkest that a device shows, and makes it black, as Little CMS
// does: cmsDetectBlackPoint and ComputeBlackPointCompensation as its documentation and
// Adobe's "Black Point Compensation" paper (2006) describe them. The spaces that are
// written have a black of no light at all.

// v4Black is the perceptual black of version 4: ICC.1:2022 clause 6.3.3 and Annex B.
func v4Black() [3]float64 {
	w := d50()
	return [3]float64{0.00336 / w[0], 0.0034731 / w[1], 0.00287 / w[2]}
}

// black is the XYZ, white being 1, of the darkest that the device has in that intent.
// It is 0 where that cannot be told.
func (d *device) black(intent Intent) [3]float64 {
	var none [3]float64
	if d.version >= 4 && intent == Perceptual {
		if !d.isShaper() {
			return v4Black()
		}
		intent = Relative
	}
	if d.class == "prtr" && d.channels == 4 && intent == Relative {
		return d.printedBlack()
	}
	if !d.supports(intent) {
		return none
	}
	l, err := d.toWhite(intent)
	if err != nil {
		return none
	}
	var darkest [4]float64
	if d.channels == 4 {
		darkest = [4]float64{1, 1, 1, 1}
	}
	return neutral(l.at(darkest))
}

// printedBlack is what a press makes of black: the ink that the perceptual table takes
// for L* 0 (in version 4 its perceptual black), looked up in the relative one. All inks at once would be darker than paper
// can bear.
func (d *device) printedBlack() [3]float64 {
	var none [3]float64
	b := d.find("B2A0")
	if b == nil || d.find("A2B0") == nil {
		return none
	}
	toInk, err := readLUT(b, 3, 4, false, d.lab)
	if err != nil {
		return none
	}
	dark := none
	if d.version >= 4 {
		dark = v4Black()
	}
	v := toInk.pcs.encode(dark)
	for _, s := range toInk.steps {
		v = s.at(v)
	}
	l, err := d.toWhite(Relative)
	if err != nil {
		return none
	}
	return neutral(l.at(v))
}

// neutral is the grey of that lightness, 0 if it is no black at all.
func neutral(v [3]float64) [3]float64 {
	l := 116*root(v[1]) - 16
	if !(l > 0) || l > 50 {
		return [3]float64{}
	}
	return [3]float64{v[1], v[1], v[1]}
}

// compensate returns what takes XYZ relative to white so that black becomes 0 and
// white stays.
func compensate(black [3]float64) affine {
	var m affine
	for r, k := range black {
		m[r][r] = 1 / (1 - k)
		m[r][3] = -k / (1 - k)
	}
	return m
}
