package session

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
)

func TestProfile_ReadsBackWhatItWrote(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "stillhand", "profile.toml")
	p, err := ReadProfile(path)
	require.NoError(t, err, "no profile is an empty one")
	require.NoError(t, p.Set(Field{"fingers", "three"}, Field{"neck", `E1 A1 D2 G2`}))
	require.NoError(t, p.SetReach("77.10mm", "2026-11-25"))
	require.NoError(t, p.Learn(coach.Habits{Notes: 3}))
	again, err := ReadProfile(path)
	require.NoError(t, err)
	assert.Equal(t, p, again)
	assert.Equal(t, "2026-11-25", again.ReachFound)
	assert.Equal(t, 3.0, again.Habits.Notes)
}

// endless is a device that gives zeros without end.
const endless = "/dev/zero"

// profileOf is a profile with text in its file.
func profileOf(t *testing.T, text string) *Profile {
	t.Helper()
	path := filepath.Join(t.TempDir(), "profile.toml")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	p, err := ReadProfile(path)
	require.NoError(t, err)
	return p
}

func textOf(t *testing.T, p *Profile) string {
	t.Helper()
	text, err := os.ReadFile(p.Path)
	require.NoError(t, err)
	return string(text)
}

// The file is the player's: a sitting leaves it alone, and a new value changes its
// own line.
func TestProfile_KeepsThePlayersText(t *testing.T) {
	t.Parallel()
	const text = "# Mine\nfrets=24 # counted\n\n  reach = '90mm'   # after warming up\nfingers = \"four\"\n# the end"
	p := profileOf(t, text)
	require.NoError(t, p.Learn(coach.Habits{Notes: 3}))
	assert.Equal(t, text, textOf(t, p))
	require.NoError(t, p.SetReach("77.10mm", "2026-11-25"))
	const after = "# Mine\nfrets=24 # counted\n\n  reach = \"77.10mm\"   # after warming up\nfingers = \"four\"\n# the end\n" +
		"reach_found = \"2026-11-25\"\n"
	assert.Equal(t, after, textOf(t, p))
	assert.Equal(t, "77.10mm", p.Settings["reach"])
	assert.Equal(t, 3.0, p.Habits.Notes)
	require.NoError(t, p.Set(Field{"frets", "22"}))
	assert.Contains(t, textOf(t, p), "\nfrets=\"22\" # counted\n")
}

// What cannot be changed line by line is left as it is, and the line to write is said.
func TestProfile_LeavesALineThatItCannotRead(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"\"re\\u0061ch\" = \"90mm\"\n", "reach = \"\"\"\n90mm\"\"\"\n"} {
		p := profileOf(t, text)
		assert.ErrorContains(t, p.SetReach("77.10mm", "2026-11-25"), `write reach = "77.10mm" into it`)
		assert.Equal(t, text, textOf(t, p))
	}
}

// Editors write other line ends and begin with a mark, players quote their keys.
func TestProfile_ChangesALineHoweverItIsWritten(t *testing.T) {
	t.Parallel()
	const bom = "\ufeff"
	for before, after := range map[string]string{
		"reach = \"90mm\"\r\nfrets = 24\r\n":           "reach = \"77mm\"\r\nfrets = 24\r\nreach_found = \"2026-11-25\"\r\n",
		"reach = 90 # warm\r\n[habits]\r\nNotes = 3.0": "reach = \"77mm\" # warm\r\nreach_found = \"2026-11-25\"\r\n[habits]\r\nNotes = 3.0",
		"frets = 24\r\nreach = 90":                     "frets = 24\r\nreach = \"77mm\"\r\nreach_found = \"2026-11-25\"\r\n",
		"\"reach\" = '90mm'\n":                         "\"reach\" = \"77mm\"\nreach_found = \"2026-11-25\"\n",
		"'reach'=90\n":                                 "'reach'=\"77mm\"\nreach_found = \"2026-11-25\"\n",
		bom + "reach = \"90mm\"\n":                     bom + "reach = \"77mm\"\nreach_found = \"2026-11-25\"\n",
		bom + "[habits]\n":                             bom + "reach = \"77mm\"\nreach_found = \"2026-11-25\"\n[habits]\n",
		bom:                                            bom + "reach = \"77mm\"\nreach_found = \"2026-11-25\"\n",
	} {
		p := profileOf(t, before)
		require.NoError(t, p.SetReach("77mm", "2026-11-25"), "%q", before)
		assert.Equal(t, after, textOf(t, p))
		again, err := ReadProfile(p.Path)
		require.NoError(t, err, "%q", after)
		assert.Equal(t, "77mm", again.Settings["reach"])
	}
}

// An old profile may hold any reach: it counts as not known, and stays in the player's
// text for them to correct.
func TestProfile_LeavesOutAReachThatNoHandHas(t *testing.T) {
	t.Parallel()
	p := profileOf(t, "reach = 12\n")
	_, told := p.Lookup("reach")
	assert.False(t, told)
	assert.EqualError(t, p.NoReach(), "reach in the profile: a reach of 12 mm is no hand's: from 20 to 300 mm are possible, like 105mm or 4.1in; "+
		"it is left out: find yours with stillhand reach, or correct the line in "+p.Path)
	require.NoError(t, p.Set(Field{"fingers", "three"}))
	assert.Equal(t, "reach = 12\nfingers = \"three\"\n", textOf(t, p))
	require.NoError(t, p.SetReach("77mm", "2026-11-25"))
	require.NoError(t, p.NoReach())
	text, _ := p.Lookup("reach")
	assert.Equal(t, "77mm", text)
	assert.NoError(t, profileOf(t, "").NoReach())
}

func TestProfile_FollowsALink(t *testing.T) {
	t.Parallel()
	p := profileOf(t, "frets = 24\n")
	link := filepath.Join(t.TempDir(), "profile.toml")
	if err := os.Symlink(p.Path, link); err != nil {
		t.Skip(err)
	}
	linked, err := ReadProfile(link)
	require.NoError(t, err)
	require.NoError(t, linked.Set(Field{"fingers", "three"}))
	assert.Equal(t, "frets = 24\nfingers = \"three\"\n", textOf(t, p))
	info, err := os.Lstat(link)
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&os.ModeSymlink)
}

// What was learnt once stood in the profile: it is read until there is something
// newer, and forgotten with it.
func TestProfile_TakesWhatWasLearntOutOfThePlayersText(t *testing.T) {
	t.Parallel()
	for table, after := range map[string]string{
		"[habits]\n  Notes = 3.0\n  Bound = [1.0, 2.0]\n": "",
		"[habits]\nNotes = 3.0":                           "",
		"[habits]\r\nNotes = 3.0\r\n\r\nShifts = 1.0\r\n": "",
		"[habits]\nNotes = 3.0\n# mine\nShifts = 1.0\n":   "[habits]\nNotes = 3.0\n# mine\nShifts = 1.0\n",
	} {
		p := profileOf(t, "# Mine\nfingers = \"three\"\n"+table)
		require.NoError(t, p.Learn(coach.Habits{}))
		assert.Equal(t, "# Mine\nfingers = \"three\"\n"+after, textOf(t, p))
		again, err := ReadProfile(p.Path)
		require.NoError(t, err)
		assert.Zero(t, again.Habits.Notes)
		assert.Equal(t, "three", again.Settings["fingers"])
	}
}

func TestProfile_TakesPlainValuesAndNamesUnknownKeys(t *testing.T) {
	t.Parallel()
	p := &Profile{Path: "p.toml", Settings: map[string]string{}}
	require.NoError(t, p.parse([]byte("frets = 24\nbell = true\nscale = \"34in\"\n")))
	assert.Equal(t, map[string]string{"frets": "24", "bell": "on", "scale": "34in"}, p.Settings)
	assert.ErrorContains(t, p.parse([]byte("finger = \"four\"\n")), `unknown key "finger": take it out, or write one of neck, frets, scale`)
	assert.ErrorContains(t, p.parse([]byte("neck = \n")), "p.toml")
}

// A player keeps their settings when a new version learns in another shape.
func TestProfile_LeavesOutWhatAnotherVersionLearnt(t *testing.T) {
	t.Parallel()
	p := &Profile{Path: "p.toml", Settings: map[string]string{}}
	require.NoError(t, p.parse([]byte("fingers = \"three\"\n[habits]\nNotes = \"many\"\n")))
	assert.ErrorContains(t, p.Stale, "[habits] in p.toml, is damaged or another version's")
	assert.Equal(t, coach.Habits{}, p.Habits)
	assert.Equal(t, "three", p.Settings["fingers"])
	p = &Profile{Path: "p.toml", Settings: map[string]string{}}
	require.NoError(t, p.parse([]byte("[habits]\nNotes = 3.0\n")))
	assert.NoError(t, p.Stale)
	assert.Equal(t, 3.0, p.Habits.Notes)
}

// What was learnt is a help: no command fails for want of it.
func TestProfile_LeavesOutALearntFileThatIsOfNoUse(t *testing.T) {
	t.Parallel()
	for what, of := range map[string]struct {
		put      func(path string) error
		said     string
		replaced bool
	}{
		"another version's": {func(path string) error { return os.WriteFile(path, []byte("Notes = \"many\"\n"), 0o600) }, "is damaged or another version's", true},
		"broken":            {func(path string) error { return os.WriteFile(path, []byte("Notes = = 3\x00"), 0o600) }, "is damaged or another version's", true},
		"no number":         {func(path string) error { return os.WriteFile(path, []byte("Notes = nan\n"), 0o600) }, "is damaged or another version's", true},
		"without end":       {func(path string) error { return os.WriteFile(path, []byte("Shifts = inf\n"), 0o600) }, "is damaged or another version's", true},
		"below nothing":     {func(path string) error { return os.WriteFile(path, []byte("Notes = -1\n"), 0o600) }, "is damaged or another version's", true},
		"beyond a life":     {func(path string) error { return os.WriteFile(path, []byte("Notes = 1e308\nShifts = 1e308\n"), 0o600) }, "is damaged or another version's", true},
		"too long":          {func(path string) error { return os.WriteFile(path, make([]byte, mostText+1), 0o600) }, "cannot be read: it is longer than 1048576 bytes", true},
		"a device": {func(path string) error {
			if _, err := os.Stat(endless); err != nil {
				return err
			}
			return os.Symlink(endless, path)
		}, "cannot be read: it is no ordinary file: it is left out", false},
		"a link to itself": {func(path string) error { return os.Symlink(path, path) }, "cannot be read", true},
		"a folder":         {func(path string) error { return os.Mkdir(path, 0o700) }, "cannot be read", false},
	} {
		p := profileOf(t, "fingers = \"three\"\n[habits]\nNotes = 3.0\n")
		if err := of.put(p.learntPath()); err != nil {
			t.Log(what, err)
			continue
		}
		again, err := ReadProfile(p.Path)
		require.NoError(t, err, what)
		assert.ErrorContains(t, again.Stale, p.learntPath()+", "+of.said, what)
		assert.Equal(t, coach.Habits{}, again.Habits, what)
		assert.Equal(t, "three", again.Settings["fingers"], what)
		if !of.replaced {
			assert.ErrorContains(t, again.Learn(coach.Habits{Notes: 4}), "see that it is a file", what)
			continue
		}
		require.NoError(t, again.Learn(coach.Habits{Notes: 4}), what)
		require.NoError(t, again.Stale, what)
		again, err = ReadProfile(p.Path)
		require.NoError(t, err, what)
		assert.NoError(t, again.Stale, what)
		assert.Equal(t, 4.0, again.Habits.Notes, what)
	}
}

// What is not kept is what no player can have left.
func TestProfile_KeepsNoHabitsThatAreNoNumbers(t *testing.T) {
	t.Parallel()
	p := profileOf(t, "")
	require.NoError(t, p.Learn(coach.Habits{Notes: 3}))
	assert.ErrorContains(t, p.Learn(coach.Habits{Notes: 4, Shifts: math.NaN()}), "habits.toml stays as it was")
	again, err := ReadProfile(p.Path)
	require.NoError(t, err)
	assert.Equal(t, coach.Habits{Notes: 3}, again.Habits)
}

// A device has no end, and a pipe keeps its reader waiting.
func TestProfile_IsAnOrdinaryFile(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "profile.toml")
	require.NoError(t, os.WriteFile(path, make([]byte, mostText+1), 0o600))
	_, err := ReadProfile(path)
	require.EqualError(t, err, "profile "+path+" cannot be read: it is longer than 1048576 bytes; correct it or move it away")
	require.NoError(t, os.Remove(path))
	if _, err := os.Stat(endless); err != nil {
		t.Skip(err)
	}
	require.NoError(t, os.Symlink(endless, path))
	_, err = ReadProfile(path)
	require.EqualError(t, err, "profile "+path+" cannot be read: it is no ordinary file; correct it or move it away")
}
