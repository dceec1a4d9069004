package report

import "slices"

// column is one step of an alignment: a note of each take, or -1 where one of
// them has none.
type column struct{ a, b int }

// mostEdits bounds the search: past it two takes are not one phrase, and the
// working memory would grow with its square (4 million numbers here).
const mostEdits = 2048

// align lays two rows of pitches beside each other with the fewest notes
// wrong, missing or extra, each counted one (Levenshtein's distance). It
// follows, edit by edit, the furthest that each diagonal reaches (Ukkonen
// 1985, Myers 1986; memory): time grows with the takes' length times the
// distance, memory with the distance squared, and two equal takes cost one
// pass.
//
// Where the takes differ by more than most edits, the alignment goes as far as
// that many reach, and complete is false.
func align(a, b []int, most int) (columns []column, complete bool) {
	// reach[d][k+d] is the furthest index in a on diagonal k = index in b -
	// index in a after d edits; unreached where the diagonal leaves the grid.
	const unreached = -1
	var reach [][]int32
	slide := func(i, k int) int32 {
		for i < len(a) && i+k < len(b) && a[i] == b[i+k] {
			i++
		}
		return int32(i)
	}
	at := func(d, k int) int {
		if d < 0 || k < -d || k > d {
			return unreached
		}
		return int(reach[d][k+d])
	}
	// before is the furthest index in a before the slide, and the diagonal that
	// it came from.
	before := func(d, k int) (i, from int) {
		i, from = unreached, k
		try := func(j, diagonal int) {
			if j > i && j <= len(a) && j+k >= 0 && j+k <= len(b) {
				i, from = j, diagonal
			}
		}
		if j := at(d-1, k); j != unreached {
			try(j+1, k) // wrong
		}
		if j := at(d-1, k+1); j != unreached {
			try(j+1, k+1) // missing
		}
		if j := at(d-1, k-1); j != unreached {
			try(j, k-1) // extra
		}
		return i, from
	}

	goal := len(b) - len(a)
	reach = append(reach, []int32{slide(0, 0)})
	end := 0
	for d := 0; at(d, goal) != len(a); {
		if d == most {
			return trace(reach, furthest(reach[d]), before), false
		}
		d++
		row := make([]int32, 2*d+1)
		reach = append(reach, row)
		for k := -d; k <= d; k++ {
			row[k+d] = unreached
			if i, _ := before(d, k); i != unreached {
				row[k+d] = slide(i, k)
			}
		}
		end = goal
	}
	return trace(reach, end, before), true
}

// furthest is the diagonal of a row whose two indices add up to the most.
func furthest(row []int32) int {
	d := (len(row) - 1) / 2
	best := 0
	for k := -d; k <= d; k++ {
		if row[k+d] >= 0 && 2*int(row[k+d])+k > 2*int(row[best+d])+best {
			best = k
		}
	}
	return best
}

// trace walks back from the end of diagonal k in the last row.
func trace(reach [][]int32, k int, before func(d, k int) (i, from int)) []column {
	var out []column
	for d := len(reach) - 1; d >= 0; d-- {
		i := int(reach[d][k+d])
		start, from := 0, 0
		if d > 0 {
			start, from = before(d, k)
		}
		for ; i > start; i-- {
			out = append(out, column{i - 1, i - 1 + k})
		}
		if d == 0 {
			break
		}
		switch {
		case from == k:
			out = append(out, column{i - 1, i - 1 + k})
		case from > k:
			out = append(out, column{i - 1, -1})
		default:
			out = append(out, column{-1, i - 1 + k})
		}
		k = from
	}
	slices.Reverse(out)
	return out
}
