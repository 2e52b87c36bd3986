// Package testcolour measures for tests how far two colours are from each other.
package testcolour

import "math"

// CIEDE2000 is the difference of two colours given as L*, a* and b*, all weights 1, by
// the steps of G. Sharma, W. Wu and E. N. Dalal, "The CIEDE2000 Color-Difference
// Formula: Implementation Notes, Supplementary Test Data, and Mathematical
// Observations", Color Research and Application 30(1), 2005, equations 2 to 22.
func CIEDE2000(p, q [3]float64) float64 {
	chroma := (math.Hypot(p[1], p[2]) + math.Hypot(q[1], q[2])) / 2
	g := 0.5 * (1 - math.Sqrt(pow7(chroma)))
	c1, h1 := polar(p[1]*(1+g), p[2])
	c2, h2 := polar(q[1]*(1+g), q[2])

	dh, sum := h2-h1, h1+h2 // degrees
	switch {
	case c1*c2 == 0:
		dh = 0
	case dh > 180:
		dh -= 360
	case dh < -180:
		dh += 360
	}
	mean := sum / 2
	switch {
	case c1*c2 == 0:
		mean = sum
	case math.Abs(h1-h2) <= 180:
	case sum < 360:
		mean += 180
	default:
		mean -= 180
	}
	dL, dC, dH := q[0]-p[0], c2-c1, 2*math.Sqrt(c1*c2)*math.Sin(radians(dh/2))

	l, c := (p[0]+q[0])/2, (c1+c2)/2
	t := 1 - 0.17*cos(mean-30) + 0.24*cos(2*mean) + 0.32*cos(3*mean+6) - 0.20*cos(4*mean-63)
	turn := 30 * math.Exp(-math.Pow((mean-275)/25, 2))
	sL := 1 + 0.015*(l-50)*(l-50)/math.Sqrt(20+(l-50)*(l-50))
	sC, sH := 1+0.045*c, 1+0.015*c*t
	rT := -2 * math.Sqrt(pow7(c)) * math.Sin(radians(2*turn))
	dL, dC, dH = dL/sL, dC/sC, dH/sH
	return math.Sqrt(dL*dL + dC*dC + dH*dH + rT*dC*dH)
}

// pow7 is the share that c^7 has of itself and 25^7.
func pow7(c float64) float64 {
	c = math.Pow(c, 7)
	return c / (c + math.Pow(25, 7))
}

// polar returns chroma and hue, in degrees from 0.
func polar(a, b float64) (chroma, hue float64) {
	if a == 0 && b == 0 {
		return 0, 0
	}
	hue = math.Atan2(b, a) * 180 / math.Pi
	if hue < 0 {
		hue += 360
	}
	return math.Hypot(a, b), hue
}

func radians(degrees float64) float64 { return degrees * math.Pi / 180 }
func cos(degrees float64) float64     { return math.Cos(radians(degrees)) }

// LabOfXYZ returns L*, a* and b* of XYZ relative to that white (CIE 15).
func LabOfXYZ(xyz, white [3]float64) [3]float64 {
	var f [3]float64
	for i := range f {
		if v := xyz[i] / white[i]; v > 216.0/24389 {
			f[i] = math.Cbrt(v)
		} else {
			f[i] = (24389.0/27*v + 16) / 116
		}
	}
	return [3]float64{116*f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])}
}

// LabOfSRGB returns L*, a* and b* relative to D65 of sRGB code values from 0 to 1, with
// the curve of IEC 61966-2-1 and the seven-digit matrix that B. Lindbloom worked out of
// its primaries.
func LabOfSRGB(code [3]float64) [3]float64 {
	var l [3]float64
	for i, v := range code {
		if v <= 0.04045 {
			l[i] = v / 12.92
		} else {
			l[i] = math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	return LabOfXYZ([3]float64{
		0.4124564*l[0] + 0.3575761*l[1] + 0.1804375*l[2],
		0.2126729*l[0] + 0.7151522*l[1] + 0.0721750*l[2],
		0.0193339*l[0] + 0.1191920*l[1] + 0.9503041*l[2],
	}, [3]float64{0.95047, 1, 1.08883})
}

// Patches are the sRGB code values that are in circulation for the 24 patches of a
// ColorChecker, row by row; from memory.
func Patches() [][3]uint8 {
	return [][3]uint8{
		{115, 82, 68}, {194, 150, 130}, {98, 122, 157}, {87, 108, 67}, {133, 128, 177}, {103, 189, 170},
		{214, 126, 44}, {80, 91, 166}, {193, 90, 99}, {94, 60, 108}, {157, 188, 64}, {224, 163, 46},
		{56, 61, 150}, {70, 148, 73}, {175, 54, 60}, {231, 199, 31}, {187, 86, 149}, {8, 133, 161},
		{243, 243, 242}, {200, 200, 200}, {160, 160, 160}, {122, 122, 121}, {85, 85, 85}, {52, 52, 52},
	}
}
