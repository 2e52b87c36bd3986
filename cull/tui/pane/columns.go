package pane

// block is a run of rows that stays together in one column.
type block []row

// columns lays blocks out in up to n columns, top to bottom, as even as they get
// without changing their order, with a blank row between two of a column if gap.
func columns(blocks []block, n int, gap bool) [][]row {
	low, high := 0, 0
	for _, b := range blocks {
		low = max(low, len(b))
		high += len(b) + 1
	}
	for ; low < high; low++ {
		if cols := stack(blocks, low, gap); len(cols) <= n {
			return cols
		}
	}
	return stack(blocks, high, gap)
}

// stack fills columns of a height one after the other.
func stack(blocks []block, height int, gap bool) [][]row {
	var cols [][]row
	for _, b := range blocks {
		last := len(cols) - 1
		between := 0
		if gap {
			between = 1
		}
		if last < 0 || len(cols[last])+between+len(b) > height {
			cols = append(cols, append([]row(nil), b...))
			continue
		}
		if gap {
			cols[last] = append(cols[last], nil)
		}
		cols[last] = append(cols[last], b...)
	}
	return cols
}

func tallest(cols [][]row) int {
	n := 0
	for _, c := range cols {
		n = max(n, len(c))
	}
	return n
}

// abreast puts columns of a width side by side in at most height rows. What of a
// column does not fit is counted in its last row.
func abreast(st *Styles, cols [][]row, colWidth, gap, height int) []row {
	if height <= 0 {
		return nil
	}
	rows := make([]row, min(height, tallest(cols)))
	for c, col := range cols {
		if over := len(col) - height; over > 0 {
			col = append(append([]row(nil), col[:height-1]...), hidden(st, over+1))
		}
		for i := range rows {
			var cell row
			if i < len(col) {
				cell = col[i]
			}
			if cell.width() > colWidth {
				cell = cell.shorten(colWidth)
			}
			if c+1 < len(cols) {
				cell = append(cell[:len(cell):len(cell)], seg{text: spaces(colWidth - cell.width() + gap)})
			}
			rows[i] = append(rows[i], cell...)
		}
	}
	return rows
}
