package jpeg

// cut marks the rows from rows on as missing, if there are any, and makes them
// mid-grey.
func (m *Image) cut(rows int) {
	m.Rows = min(rows, m.Height)
	m.Truncated = m.Rows < m.Height
	grey(m.Y[min(len(m.Y), m.Rows*m.YStride):])
	if !m.Grey() {
		from := ceilDiv(m.Rows, m.SubY) * m.CStride
		grey(m.Cb[min(len(m.Cb), from):])
		grey(m.Cr[min(len(m.Cr), from):])
	}
}

func grey(samples []byte) {
	for i := range samples {
		samples[i] = 128
	}
}
