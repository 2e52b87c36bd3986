package jpeg

import (
	"encoding/binary"

	"garner/preview/jpeg/internal/dct"
)

// plane is where the samples of one component go: whole blocks, so that it
// reaches beyond the picture.
type plane struct {
	pix    []byte
	stride int
}

// put transforms the n units of a strip and clears them. They are those from
// column at on in a row.
func (k *worker) put(j *job, row, at, n int) {
	for i := range j.n {
		g, p := &j.grids[i], &j.planes[i]
		if p.pix == nil { // dropped
			clear(k.strip.Coef[min(len(k.strip.Coef), g.first):min(len(k.strip.Coef), g.first+j.stripUnits*g.h*g.v)])
			continue
		}
		for y := range g.v {
			down := row*g.v + y
			dst := p.pix[((row-j.top)*g.v+y)*j.size*p.stride+(at-j.left)*g.h*j.size:]
			first := g.first + y*j.stripUnits*g.h
			count := n * g.h
			if j.scale == 8 {
				for x, dc := range k.strip.DC[first : first+count] {
					dst[x] = dct.Inverse1(dc, g.q[0])
				}
				continue
			}
			coef, ends := k.strip.Coef[first:first+count], k.strip.Last[first:first+count]
			transform(dst, p.stride, coef, ends, g.q, j.size)
			if j.scale > 1 {
				g.exact(dst, p.stride, coef, ends, k.wild[:], at*g.h, down, j.scale)
			}
			clear(coef)
		}
	}
	clear(k.strip.DC)
}

// transform turns blocks side by side into samples, size across for each.
func transform(dst []byte, stride int, coef []dct.Block, ends []uint8, q *dct.Table, size int) {
	for i := 0; i < len(coef); {
		if ends[i] == 0 {
			fill(dst[i*size:], stride, dct.Inverse1(coef[i][0], q[0]), size)
			i++
			continue
		}
		to := i + 1
		for to < len(coef) && ends[to] != 0 {
			to++
		}
		switch d := dst[i*size:]; size {
		case 8:
			dct.Inverse8Row(d, stride, coef[i:to], q)
		case 4:
			dct.Inverse4Row(d, stride, coef[i:to], q)
		case 2:
			dct.Inverse2Row(d, stride, coef[i:to], q)
		}
		i = to
	}
}

// fill sets size by size samples.
func fill(dst []byte, stride int, v byte, size int) {
	all := uint64(v) * 0x0101010101010101
	for y := range size {
		switch d := dst[y*stride:]; size {
		case 8:
			binary.LittleEndian.PutUint64(d, all)
		case 4:
			binary.LittleEndian.PutUint32(d, uint32(all))
		case 2:
			binary.LittleEndian.PutUint16(d, uint16(all))
		}
	}
}
