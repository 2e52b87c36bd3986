package jpeg

import (
	"encoding/binary"

	"garner/preview/jpeg/internal/dct"
	"garner/preview/jpeg/internal/entropy"
)

// plane is where the samples of one component go: whole blocks, so that it
// reaches beyond the picture.
type plane struct {
	pix    []byte
	stride int
}

// put transforms the n units of a strip and clears it. They are those from
// column at on in a row. It works in wild, which has room for a row of blocks.
func (j *job) put(s *entropy.Strip, wild []byte, row, at, n int) {
	for i := range j.n {
		g, p := &j.grids[i], &j.planes[i]
		first, count := g.first, n*g.h
		if p.pix == nil { // dropped
			if len(s.Coef) > 0 {
				clear(s.Coef[first : first+j.stripUnits*g.h*g.v])
			}
			continue
		}
		for y := range g.v {
			down := row*g.v + y
			dst := p.pix[((row-j.top)*g.v+y)*j.size*p.stride+(at-j.left)*g.h*j.size:]
			if j.scale == 8 {
				for x, dc := range s.DC[first : first+count] {
					dst[x] = dct.Inverse1(dc, g.q[0])
				}
			} else {
				coef, last := s.Coef[first:first+count], s.Last[first:first+count]
				transform(dst, p.stride, coef, last, g.q, j.size)
				if j.scale > 1 {
					g.exact(dst, p.stride, coef, last, wild, at*g.h, down, j.scale)
				}
				clear(coef)
			}
			first += j.stripUnits * g.h
		}
	}
	clear(s.DC)
}

// transform turns blocks side by side into samples, size across for each.
func transform(dst []byte, stride int, coef []dct.Block, last []uint8, q *dct.Table, size int) {
	for i := 0; i < len(coef); {
		if last[i] == 0 {
			fill(dst[i*size:], stride, dct.Inverse1(coef[i][0], q[0]), size)
			i++
			continue
		}
		to := i + 1
		for to < len(coef) && last[to] != 0 {
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
