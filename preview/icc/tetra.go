package icc

// This file walks through grids of three and four channels quickly.

// place finds the cube of a channel that x, from 0 to 1, falls into, and where in it.
func place(x, scale float32, last int) (low int, part float32) {
	if !(x > 0) {
		x = 0
	}
	x = float32(min(x, 1) * scale)
	low = min(int(x), last)
	return low, x - float32(low)
}

// run3 replaces the first three channels by the grid's.
func (g *grid) run3(b *block, n int) {
	sx, sy, sz := 3*g.n[1]*g.n[2], 3*g.n[2], 3
	fx, fy, fz := float32(g.n[0]-1), float32(g.n[1]-1), float32(g.n[2]-1)
	lx, ly, lz := g.n[0]-2, g.n[1]-2, g.n[2]-2
	for i := range min(n, blockLen) {
		ix, px := place(b[0][i], fx, lx)
		iy, py := place(b[1][i], fy, ly)
		iz, pz := place(b[2][i], fz, lz)
		b[0][i], b[1][i], b[2][i] = tetrahedron(g.values[ix*sx+iy*sy+iz*sz:], sx, sy, sz, px, py, pz)
	}
}

// run4 does so with four channels, between two results of three.
func (g *grid) run4(b *block, n int) {
	sw, sx, sy, sz := 3*g.n[1]*g.n[2]*g.n[3], 3*g.n[2]*g.n[3], 3*g.n[3], 3
	fw, fx, fy, fz := float32(g.n[0]-1), float32(g.n[1]-1), float32(g.n[2]-1), float32(g.n[3]-1)
	lw, lx, ly, lz := g.n[0]-2, g.n[1]-2, g.n[2]-2, g.n[3]-2
	for i := range min(n, blockLen) {
		iw, pw := place(b[0][i], fw, lw)
		ix, px := place(b[1][i], fx, lx)
		iy, py := place(b[2][i], fy, ly)
		iz, pz := place(b[3][i], fz, lz)
		v := g.values[iw*sw+ix*sx+iy*sy+iz*sz:]
		a0, a1, a2 := tetrahedron(v, sx, sy, sz, px, py, pz)
		if pw > 0 {
			c0, c1, c2 := tetrahedron(v[sw:], sx, sy, sz, px, py, pz)
			a0, a1, a2 = a0+float32((c0-a0)*pw), a1+float32((c1-a1)*pw), a2+float32((c2-a2)*pw)
		}
		b[0][i], b[1][i], b[2][i] = a0, a1, a2
	}
}

// tetrahedron walks from the cube's first corner, which v begins with, to its last
// along the axes, that with the largest part first.
func tetrahedron(v []float32, sx, sy, sz int, x, y, z float32) (a, b, c float32) {
	last := sx + sy + sz
	if x < y {
		x, y, sx, sy = y, x, sy, sx
	}
	if y < z {
		y, z, sy, sz = z, y, sz, sy
	}
	if x < y {
		x, y, sx, sy = y, x, sy, sx
	}
	v0 := (*[3]float32)(v)
	v1 := (*[3]float32)(v[sx:])
	v2 := (*[3]float32)(v[sx+sy:])
	v3 := (*[3]float32)(v[last:])
	w0, w1, w2 := 1-x, x-y, y-z
	a = float32(v0[0]*w0) + float32(v1[0]*w1) + float32(v2[0]*w2) + float32(v3[0]*z)
	b = float32(v0[1]*w0) + float32(v1[1]*w1) + float32(v2[1]*w2) + float32(v3[1]*z)
	c = float32(v0[2]*w0) + float32(v1[2]*w1) + float32(v2[2]*w2) + float32(v3[2]*z)
	return a, b, c
}
