package coach

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/graph/path"
	"gonum.org/v1/gonum/graph/simple"
)

// layered is the graph of all hands that play notes: one layer a fretted note,
// one node for each position from lowest up that plays it, an edge between any
// two nodes of neighbouring layers, weighing perShift for a change of position
// and perFret for each fret. Open strings ask nothing and have no layer. The
// notes hold no grips.
func layered(n Neck, s System, notes []Note, lowest int, perShift, perFret float64) (g *simple.WeightedDirectedGraph, from, to simple.Node) {
	g = simple.NewWeightedDirectedGraph(0, math.Inf(1))
	layer := []int{0}
	id := func(i, p int) simple.Node { return simple.Node(i*(MaxFrets+1) + p) }
	depth := 0
	for _, note := range notes {
		one := group{s, []Note{note}}
		if one.free(n) {
			continue
		}
		var next []int
		for p := lowest; p <= n.Positions(s.Width()); p++ {
			if !one.plays(n, p) {
				continue
			}
			next = append(next, p)
			for _, q := range layer {
				w := 0.0
				if depth > 0 && p != q {
					w = perShift + perFret*math.Abs(float64(p-q))
				}
				g.SetWeightedEdge(g.NewWeightedEdge(id(depth, q), id(depth+1, p), w))
			}
		}
		layer = next
		depth++
	}
	end := id(depth+1, 0)
	for _, q := range layer {
		g.SetWeightedEdge(g.NewWeightedEdge(id(depth, q), end, 0))
	}
	if g.Node(int64(id(0, 0))) == nil {
		g.AddNode(id(0, 0))
	}
	return g, id(0, 0), end
}

// shortest is the length of the shortest path, infinite if there is none.
func shortest(n Neck, s System, notes []Note, lowest int, perShift, perFret float64) float64 {
	g, from, to := layered(n, s, notes, lowest, perShift, perFret)
	return path.DijkstraFrom(from, g).WeightTo(int64(to))
}

// oneShift weighs more than all travel of the lines below: shifts and travel
// in one number, both exact in a float64.
const oneShift = 1 << 20

// Source: Dijkstra's shortest path as gonum.org/v1/gonum/graph/path computes
// it, on a graph of all hands.
func TestEconomy_EqualsShortestPath(t *testing.T) {
	t.Parallel()
	for _, n := range []Neck{neckOf(4, 22), neckOf(5, 24), neckOf(6, 12), neckOf(1, 17)} {
		for _, s := range []System{Four, Three, gapped} {
			for _, told := range []bool{true, false} {
				notes := wandering(n, 250, told)
				e := economyOf(n, s, notes)
				got := e.Fewest()
				require.Equal(t, float64(got.Shifts*oneShift+got.Travel), shortest(n, s, notes, 1, oneShift, 1))
				require.Equal(t, float64(e.LeastTravel()), shortest(n, s, notes, 1, 0, 1))

				path, steps := BestPath(n, s, notes, 0)
				require.Equal(t, got, path)
				require.Len(t, steps, len(notes))
			}
		}
	}
}

// The widest window of the cheapest hands is the narrowest possible: windows
// from its position upwards do as well as any, and without it they do worse.
func TestEconomy_WidestWindowIsTheLeastWidest(t *testing.T) {
	t.Parallel()
	n := neckOf(4, 22)
	for _, s := range []System{Four, Three} {
		for _, length := range []int{3, 10, 40} {
			notes := wandering(n, length, false)
			got := economyOf(n, s, notes).Fewest()
			lowest := 1
			for n.StretchMM(lowest, s.Width()) != got.WidestMM {
				lowest++
				require.LessOrEqual(t, lowest, n.Frets)
			}
			want := float64(got.Shifts*oneShift + got.Travel)
			require.Equal(t, want, shortest(n, s, notes, lowest, oneShift, 1))
			require.Greater(t, shortest(n, s, notes, lowest+1, oneShift, 1), want)
		}
	}
}
