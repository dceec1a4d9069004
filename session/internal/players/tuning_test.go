package players

import (
	"fmt"
	"os"
	"strconv"
	"testing"

	"stillhand/coach"
)

func run(t Take, strings bool) Score {
	tr := coach.NewTracker(t.Neck, t.System, coach.Habits{})
	for _, n := range t.Notes(strings) {
		tr.Note(n)
	}
	tr.End()
	return Judge(t.Hits, tr.Settled(nil), tr.Expected(), t.Shifts())
}

func TestTable(t *testing.T) {
	seeds := 12
	if s := os.Getenv("SEEDS"); s != "" {
		seeds, _ = strconv.Atoi(s)
	}
	for _, strings := range []bool{true, false} {
		var all []Score
		cal := 0.0
		fams := Tuned
		base := 1
		if os.Getenv("KEPT") != "" {
			fams = append(append([]Family{}, Tuned...), Kept...)
			base = KeptSeed
		}
		for _, f := range fams {
			var ss []Score
			rate := 0.0
			for s := range seeds {
				tk := f.Play(uint64(base+s), 300)
				rate += float64(tk.Shifts()) / 300 / float64(seeds)
				ss = append(ss, run(tk, strings))
			}
			m := Mean(ss)
			show(fmt.Sprintf("%-11s", f.Name), m, m.Calibration(), rate)
			all = append(all, m)
			cal += m.Calibration() / float64(len(fams))
		}
		m := Mean(all)
		show("mean       ", m, cal, 0)
	}
}

func show(name string, m Score, cal, rate float64) {
	fmt.Printf("%s exact %.3f near %.3f string %.3f shifts %.3f bias %+.3f cal %.3f run %.3f log %.3f rate %.2f\n",
		name, m.Exact, m.Near, m.String, m.Shifts, m.Bias, cal, m.Run, m.LogScore, rate)
}
