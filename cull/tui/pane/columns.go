package pane

// block is a run of rows that stays together in one column.
type block []row

// split deals blocks of the given heights out to up to n columns, in order, so
// that the tallest is as low as it gets. With gap a blank row stands between two
// of a column.
func split(heights []int, n int, gap bool) [][]int {
	low, high := 0, 0
	for _, h := range heights {
		low = max(low, h)
		high += h + 1
	}
	for ; low < high; low++ {
		if cols := stack(heights, low, gap); len(cols) <= n {
			return cols
		}
	}
	return stack(heights, high, gap)
}

// stack fills columns of a height one after the other with the numbers of blocks.
func stack(heights []int, height int, gap bool) [][]int {
	between := 0
	if gap {
		between = 1
	}
	var cols [][]int
	used := 0
	for i, h := range heights {
		if len(cols) == 0 || used+between+h > height {
			cols, used = append(cols, []int{i}), h
			continue
		}
		cols[len(cols)-1] = append(cols[len(cols)-1], i)
		used += between + h
	}
	return cols
}

// columns lays blocks out in up to n columns.
func columns(blocks []block, n int, gap bool) [][]row {
	heights := make([]int, len(blocks))
	for i, b := range blocks {
		heights[i] = len(b)
	}
	var cols [][]row
	for _, members := range split(heights, n, gap) {
		var col []row
		for k, i := range members {
			if gap && k > 0 {
				col = append(col, nil)
			}
			col = append(col, blocks[i]...)
		}
		cols = append(cols, col)
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

// abreast puts columns side by side in at most height rows, each as wide as
// widths says. What of a column does not fit is counted in its last row.
func abreast(st *Styles, cols [][]row, widths []int, gap, height int) []row {
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
			if cell.width() > widths[c] {
				cell = cell.shorten(widths[c])
			}
			if c+1 < len(cols) {
				cell = append(cell[:len(cell):len(cell)], seg{text: spaces(widths[c] - cell.width() + gap)})
			}
			rows[i] = append(rows[i], cell...)
		}
	}
	return rows
}

// equal is n columns of one width.
func equal(n, w int) []int {
	widths := make([]int, n)
	for i := range widths {
		widths[i] = w
	}
	return widths
}
