package report

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// levenshtein is the slow, obvious reference: the full table of Wagner and
// Fischer (1974; memory).
func levenshtein(a, b []int) int {
	table := make([][]int, len(a)+1)
	for i := range table {
		table[i] = make([]int, len(b)+1)
		table[i][0] = i
	}
	for j := range b {
		table[0][j+1] = j + 1
	}
	for i := range a {
		for j := range b {
			edit := 1
			if a[i] == b[j] {
				edit = 0
			}
			table[i+1][j+1] = min(table[i][j]+edit, table[i][j+1]+1, table[i+1][j]+1)
		}
	}
	return table[len(a)][len(b)]
}

// checkColumns holds that columns go through both rows in order, leaving out
// nothing, and returns how many of them are no match.
func checkColumns(t require.TestingT, a, b []int, columns []column) int {
	i, j, edits := 0, 0, 0
	for _, c := range columns {
		if c.a >= 0 {
			require.Equal(t, i, c.a)
			i++
		}
		if c.b >= 0 {
			require.Equal(t, j, c.b)
			j++
		}
		if c.a < 0 || c.b < 0 || a[c.a] != b[c.b] {
			require.False(t, c.a < 0 && c.b < 0)
			edits++
		}
	}
	require.LessOrEqual(t, i, len(a))
	require.LessOrEqual(t, j, len(b))
	return edits
}

func TestAlign_IsAsShortAsTheFullTable(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		row := rapid.SliceOfN(rapid.IntRange(0, 3), 0, 24)
		a, b := row.Draw(t, "a"), row.Draw(t, "b")
		columns, complete := align(a, b, mostEdits)
		require.True(t, complete)
		require.Equal(t, levenshtein(a, b), checkColumns(t, a, b, columns))
		last := 0
		for _, c := range columns {
			last += min(1, c.a+1)
		}
		require.Equal(t, len(a), last, "every note of a has its column")
	})
}

// "kitten" to "sitting" is the example that most textbooks use: two wrong, one
// extra (memory).
func TestAlign_TextbookExample(t *testing.T) {
	t.Parallel()
	row := func(s string) (out []int) {
		for _, r := range s {
			out = append(out, int(r))
		}
		return out
	}
	columns, complete := align(row("kitten"), row("sitting"), mostEdits)
	require.True(t, complete)
	assert.Equal(t, []column{{0, 0}, {1, 1}, {2, 2}, {3, 3}, {4, 4}, {5, 5}, {-1, 6}}, columns)
}

func TestAlign_StopsWhereTakesHaveTooLittleInCommon(t *testing.T) {
	t.Parallel()
	a, b := make([]int, 300), make([]int, 280)
	for i := range b {
		b[i] = 1
	}
	b[0], b[1] = 0, 0
	columns, complete := align(a, b, 40)
	assert.False(t, complete)
	assert.Equal(t, 40, checkColumns(t, a, b, columns))
	assert.GreaterOrEqual(t, len(columns), 42)
}

func TestAlign_ComparesLongTakesInOnePass(t *testing.T) {
	t.Parallel()
	a := make([]int, 200_000)
	for i := range a {
		a[i] = 28 + i*i%31
	}
	b := append([]int{99}, a[:100_000]...)
	b = append(b, a[100_003:]...)
	columns, complete := align(a, b, mostEdits)
	require.True(t, complete)
	assert.Equal(t, 4, checkColumns(t, a, b, columns))
}
