package store

import (
	"context"
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func openHistory(t *testing.T, dir string) *History {
	t.Helper()
	h, err := OpenHistory(t.Context(), dir)
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, h.Close()) })
	return h
}

// takeName is the file name of the i-th take: one every seven hours.
func takeName(i int) string {
	return takeStart(i).Format(stemLayout) + takeExt
}

func takeStart(i int) time.Time { return evening.Add(time.Duration(i) * 7 * time.Hour) }

// placeTake puts a file where the i-th take belongs. Its content stands for
// the music: figures follow from it.
func placeTake(t *testing.T, dir string, i int) string {
	t.Helper()
	require.NoError(t, OS.MkdirAll(TakesDir(dir)))
	name := takeName(i)
	require.NoError(t, os.WriteFile(filepath.Join(TakesDir(dir), name), fmt.Appendf(nil, "take %d", i), 0o600))
	return name
}

// figuresOf stands for the review of a take: figures that depend on the
// file's content and name alone.
func figuresOf(_ context.Context, path string) (TakeFigures, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return TakeFigures{}, err
	}
	start, err := time.Parse(stemLayout, filepath.Base(path)[:len(stemLayout)])
	if err != nil {
		return TakeFigures{}, err
	}
	sum := fnv.New64a()
	sum.Write(data)
	return inventFigures(start, rand.New(rand.NewPCG(sum.Sum64(), 0))), nil
}

func inventFigures(start time.Time, random *rand.Rand) TakeFigures {
	notes := 50 + random.IntN(2000)
	f := TakeFigures{
		Start:    start,
		Length:   time.Duration(random.IntN(3_000_000)) * time.Millisecond,
		Notes:    notes,
		Fingers:  "four",
		Likely:   float64(notes) * random.Float64(),
		AtLeast:  random.IntN(notes),
		WidestMM: 60 + 70*random.Float64(),
		Wide:     random.IntN(notes),
		Low:      random.Float64(),
		High:     random.Float64() / 2,
	}
	f.Played = f.Length / 2
	if random.IntN(3) == 0 {
		f.Looks = "three"
	}
	for _, system := range []string{"four", "three"} {
		fewest := random.IntN(100)
		f.Systems = append(f.Systems, SystemFigures{system, fewest, fewest + random.IntN(50), 200, 190, 100 * random.Float64()})
	}
	for position := 1; position < 15; position += 1 + random.IntN(3) {
		f.Regions = append(f.Regions, Region{position, random.IntN(90), random.IntN(9), random.IntN(20)})
	}
	return f
}

func addTakes(t *testing.T, h *History, n int) {
	t.Helper()
	var all []computed
	for i := range n {
		name := placeTake(t, h.dir, i)
		figures, err := figuresOf(t.Context(), h.Path(name))
		require.NoError(t, err)
		all = append(all, computed{take: name, figures: figures})
	}
	require.NoError(t, h.addAll(all[1:])) // quicker than one by one, above all under the race detector
	require.NoError(t, h.Add(t.Context(), all[0].take, all[0].figures))
}

func dumpOf(t *testing.T, h *History) string {
	t.Helper()
	var out strings.Builder
	require.NoError(t, h.Dump(t.Context(), &out))
	return out.String()
}

func TestHistory_GivesBackWhatWasAdded(t *testing.T) {
	t.Parallel()
	h := openHistory(t, t.TempDir())
	addTakes(t, h, 5)
	takes, err := h.Takes(t.Context(), Filter{})
	require.NoError(t, err)
	require.Len(t, takes, 5)
	for i, take := range takes {
		want, err := figuresOf(t.Context(), h.Path(takeName(i)))
		require.NoError(t, err)
		want.Regions = nil
		assert.Equal(t, Take{File: takeName(i), TakeFigures: want}, take)
	}
	assert.Equal(t, "three", takes[0].System("three").System)
	assert.Zero(t, takes[0].System("five"))

	// Added again, a take is replaced.
	require.NoError(t, h.Add(t.Context(), takeName(1), TakeFigures{Start: takeStart(1), Notes: 7, Fingers: "three", Declared: []string{"four", "three"}}))
	takes, err = h.Takes(t.Context(), Filter{})
	require.NoError(t, err)
	require.Len(t, takes, 5)
	assert.Equal(t, 7, takes[1].Notes)
	assert.Empty(t, takes[1].Systems)
	assert.Equal(t, []string{"four", "three"}, takes[1].Declared)
	_, told := Days(takes[1:2], time.UTC)[0].Unforeseen()
	assert.False(t, told)
	for _, name := range []string{"", "x.txt", "../x.mid", "a/b.mid"} {
		assert.Error(t, h.Add(t.Context(), name, TakeFigures{}), name)
	}
}

func TestHistory_FiltersByTimeTakeAndStudent(t *testing.T) {
	t.Parallel()
	h := openHistory(t, t.TempDir())
	addTakes(t, h, 6)
	require.NoError(t, h.SetLabel(t.Context(), takeName(2), Label{Student: "Tuesday 4 pm"}))
	require.NoError(t, h.SetLabel(t.Context(), takeName(4), Label{Student: "Tuesday 4 pm", Name: "scales"}))
	for name, c := range map[string]struct {
		filter Filter
		want   []int
	}{
		"all":         {Filter{}, []int{0, 1, 2, 3, 4, 5}},
		"since":       {Filter{Since: takeStart(4)}, []int{4, 5}},
		"take":        {Filter{Take: takeName(3)}, []int{3}},
		"student":     {Filter{Student: "Tuesday 4 pm"}, []int{2, 4}},
		"of a time":   {Filter{Student: "Tuesday 4 pm", Since: takeStart(3)}, []int{4}},
		"nobody":      {Filter{Student: "' OR 1"}, nil},
		"not a take'": {Filter{Take: "x"}, nil},
	} {
		// Starts of test figures are whole seconds.
		c.filter.Since = c.filter.Since.Truncate(time.Second)
		takes, err := h.Takes(t.Context(), c.filter)
		require.NoError(t, err)
		var got []int
		notes := 0
		for _, take := range takes {
			for i := range 6 {
				if take.File == takeName(i) {
					got = append(got, i)
				}
			}
			require.Len(t, take.Systems, 2)
			figures, err := figuresOf(t.Context(), h.Path(take.File))
			require.NoError(t, err)
			for _, r := range figures.Regions {
				notes += r.Notes
			}
		}
		assert.Equal(t, c.want, got, name)
		regions, err := h.Regions(t.Context(), c.filter)
		require.NoError(t, err)
		for i, r := range regions {
			notes -= r.Notes
			assert.True(t, i == 0 || regions[i-1].Position < r.Position)
		}
		assert.Zero(t, notes, "%s: regions sum up to the takes' own", name)
	}
}

func TestHistory_StudentsAreThoseOfTheTakes(t *testing.T) {
	t.Parallel()
	h := openHistory(t, t.TempDir())
	addTakes(t, h, 5)
	for i, student := range []string{"Zoe", "Ana", "", "Zoe", "Gone"} {
		require.NoError(t, h.SetLabel(t.Context(), takeName(i), Label{Student: student, Note: "x"}))
	}
	_, err := h.Delete(t.Context(), takeName(4))
	require.NoError(t, err)
	students, err := h.Students(t.Context())
	require.NoError(t, err)
	assert.Equal(t, []string{"Ana", "Zoe"}, students)
}

func TestHistory_LatestReadsTheNewestDays(t *testing.T) {
	t.Parallel()
	h := openHistory(t, t.TempDir())
	addTakes(t, h, 12) // one in seven hours, from 20:14 on
	all, err := h.Takes(t.Context(), Filter{})
	require.NoError(t, err)
	for zoneHours := range 24 {
		zone := time.FixedZone("", 3600*zoneHours)
		days := Days(all, zone)
		for n := range len(days) + 2 {
			takes, earlier, err := h.Latest(t.Context(), Filter{}, zone, n)
			require.NoError(t, err)
			require.Len(t, takes, 12-earlier)
			require.Equal(t, days[max(0, len(days)-n):], append([]Day{}, Days(takes, zone)...))
		}
	}
	for i := range 3 {
		require.NoError(t, h.SetLabel(t.Context(), takeName(i), Label{Student: "Ana"}))
	}
	takes, earlier, err := h.Latest(t.Context(), Filter{Student: "Ana"}, time.UTC, 1)
	require.NoError(t, err)
	assert.Len(t, takes, 2)
	assert.Equal(t, 1, earlier)
	takes, _, err = h.Latest(t.Context(), Filter{Student: "nobody"}, time.UTC, 5)
	require.NoError(t, err)
	assert.Empty(t, takes)
}

func TestHistory_DeletedTakesGoToTheTrash(t *testing.T) {
	t.Parallel()
	h := openHistory(t, t.TempDir())
	addTakes(t, h, 3)
	label := Label{Name: "first slow blues"}
	require.NoError(t, h.SetLabel(t.Context(), takeName(1), label))

	trashed, err := h.Delete(t.Context(), takeName(1))
	require.NoError(t, err)
	assert.Equal(t, filepath.Join(trashDir(h.dir), takeName(1)), trashed)
	assert.FileExists(t, trashed)
	assert.NoFileExists(t, h.Path(takeName(1)))
	assert.NotContains(t, dumpOf(t, h), `"take"	"`+takeName(1))
	regions, err := h.Regions(t.Context(), Filter{Take: takeName(1)})
	require.NoError(t, err)
	assert.Empty(t, regions)

	_, err = h.Delete(t.Context(), takeName(1))
	require.ErrorIs(t, err, ErrNoTake)
	_, err = h.Delete(t.Context(), "../history.db")
	require.ErrorIs(t, err, ErrNoTake)

	// The same name deleted again overwrites nothing.
	placeTake(t, h.dir, 1)
	again, err := h.Delete(t.Context(), takeName(1))
	require.NoError(t, err)
	assert.NotEqual(t, trashed, again)
	assert.FileExists(t, trashed)
	_, err = h.Delete(t.Context(), takeName(1))
	require.ErrorIs(t, err, ErrNoTake)
	assert.NoDirExists(t, filepath.Join(trashDir(h.dir), "3"), "for what is not there")

	// Put back under its name, either has its label.
	for _, back := range []string{trashed, again} {
		name := filepath.Base(back)
		require.NoError(t, os.Rename(back, h.Path(name)))
		unknown, err := h.Reconcile(t.Context())
		require.NoError(t, err)
		assert.Equal(t, []string{name}, unknown)
		figures, err := figuresOf(t.Context(), h.Path(name))
		require.NoError(t, err)
		require.NoError(t, h.Add(t.Context(), name, figures))
		takes, err := h.Takes(t.Context(), Filter{Take: name})
		require.NoError(t, err)
		assert.Equal(t, label, takes[0].Label)
		require.NoError(t, os.Remove(h.Path(name)))
		_, err = h.Reconcile(t.Context())
		require.NoError(t, err)
	}
}

func TestHistory_ReconcileForgetsTakesWhoseFilesAreGone(t *testing.T) {
	t.Parallel()
	h := openHistory(t, t.TempDir())
	addTakes(t, h, 3)
	require.NoError(t, os.Remove(h.Path(takeName(0))))
	placeTake(t, h.dir, 7)
	unknown, err := h.Reconcile(t.Context())
	require.NoError(t, err)
	assert.Equal(t, []string{takeName(7)}, unknown)
	takes, err := h.Takes(t.Context(), Filter{})
	require.NoError(t, err)
	assert.Len(t, takes, 2)
}

func TestHistory_FilesArePrivate(t *testing.T) {
	t.Parallel()
	if runtime.GOOS == "windows" {
		t.Skip("no permission bits on Windows")
	}
	dir := filepath.Join(t.TempDir(), "share", "stillhand")
	h := openHistory(t, dir)
	addTakes(t, h, 1)
	require.NoError(t, h.SetLabel(t.Context(), takeName(0), Label{Note: "x"}))
	_, err := h.Delete(t.Context(), takeName(0))
	require.NoError(t, err)
	seen := 0
	require.NoError(t, filepath.WalkDir(dir, func(path string, entry os.DirEntry, err error) error {
		require.NoError(t, err)
		info, err := entry.Info()
		require.NoError(t, err)
		want := os.FileMode(0o600)
		if entry.IsDir() {
			want = 0o700
		}
		assert.Equal(t, want, info.Mode().Perm(), path)
		seen++
		return nil
	}))
	assert.GreaterOrEqual(t, seen, 8, "folder, takes, trash, a take, logbook, database and its two side files")
}

func TestHistory_FolderNamesAreTakenLiterally(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "100% #1? ü&mode=ro")
	h := openHistory(t, dir)
	addTakes(t, h, 1)
	assert.FileExists(t, filepath.Join(dir, historyFile))
}

func TestHistory_SaysWhatToDoWhenItCannotBeOpened(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, historyFile), 0o700))
	_, err := OpenHistory(t.Context(), dir)
	require.ErrorContains(t, err, filepath.Join(dir, historyFile)+" is no file: move it away and run history --rebuild")
	assert.NotContains(t, err.Error(), "\n")
	if runtime.GOOS != "windows" {
		dir = t.TempDir()
		require.NoError(t, os.Symlink(filepath.Join(dir, "nosuch", historyFile), filepath.Join(dir, historyFile)))
		_, err = OpenHistory(t.Context(), dir)
		require.ErrorContains(t, err, "is no file: move it away")
	}

	h := openHistory(t, t.TempDir())
	_, err = h.db.Exec("PRAGMA max_page_count = 20")
	require.NoError(t, err)
	for i := 0; err == nil && i < 1000; i++ {
		err = h.Add(t.Context(), takeName(i), inventFigures(takeStart(i), takeRandom(i)))
	}
	require.ErrorContains(t, err, "free some space")
	assert.NotContains(t, err.Error(), "\n")
}

// busyDisk has another program add a take once the folder has been listed.
type busyDisk struct {
	FS
	meanwhile func()
}

func (d *busyDisk) ReadDir(dir string) ([]string, error) {
	names, err := d.FS.ReadDir(dir)
	d.meanwhile()
	return names, err
}

func TestReconcile_KeepsATakeThatIsAddedMeanwhile(t *testing.T) {
	t.Parallel()
	h := openHistory(t, t.TempDir())
	addTakes(t, h, 2)
	h.disk = &busyDisk{OS, func() { addTakes(t, h, 3) }}
	_, err := h.Reconcile(t.Context())
	require.NoError(t, err)
	takes, err := h.Takes(t.Context(), Filter{})
	require.NoError(t, err)
	assert.Len(t, takes, 3)
}

func TestHistory_FindsWhatIsWrittenOnTakes(t *testing.T) {
	t.Parallel()
	h := openHistory(t, t.TempDir())
	addTakes(t, h, 4)
	written := Label{Name: "Scales", Student: "Ana", Note: "slower"}
	for _, i := range []int{0, 2, 3} {
		require.NoError(t, h.SetLabel(t.Context(), takeName(i), written))
	}
	_, err := h.Delete(t.Context(), takeName(2))
	require.NoError(t, err)

	label, err := h.Label(t.Context(), takeName(3))
	require.NoError(t, err)
	assert.Equal(t, written, label)
	label, err = h.Label(t.Context(), takeName(1))
	require.NoError(t, err)
	assert.Zero(t, label)

	for name, want := range map[string][]string{"scales": {takeName(0), takeName(3)}, "scale": nil, "": nil} {
		takes, err := h.Named(t.Context(), name)
		require.NoError(t, err)
		assert.ElementsMatch(t, want, takes, name)
	}
}

// The capitals of Unicode's character database: also those that are not ASCII, and two
// small letters of one capital.
func TestHistory_NamesAndTagsAreTheSameInCapitals(t *testing.T) {
	t.Parallel()
	h := openHistory(t, t.TempDir())
	addTakes(t, h, 2)
	require.NoError(t, h.SetLabel(t.Context(), takeName(1), Label{Name: "Übung für Ωδός", Student: "Élise"}))
	for _, name := range []string{"übung für ωδός", "ÜBUNG FÜR ΩΔΌΣ"} {
		takes, err := h.Named(t.Context(), name)
		require.NoError(t, err)
		assert.Equal(t, []string{takeName(1)}, takes, name)
	}
	takes, err := h.Takes(t.Context(), Filter{Student: "élise"})
	require.NoError(t, err)
	assert.Len(t, takes, 1)
}
