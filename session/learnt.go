package session

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"regexp"

	"github.com/BurntSushi/toml"

	"stillhand/coach"
)

// learntFile holds what the tracker has learnt of the player, beside the profile:
// every sitting writes it, and the profile is the player's own text.
const learntFile = "habits.toml"

func (p *Profile) learntPath() string { return filepath.Join(filepath.Dir(p.Path), learntFile) }

// errStrange is what was learnt in another shape than the tracker's, which it
// follows.
var errStrange = errors.New("is damaged or another version's")

// readLearnt reads what was learnt, if it has a file. One that is of no use is left
// out, for the next sitting to replace: no command needs it.
func (p *Profile) readLearnt() {
	data, err := readText(p.learntPath())
	if errors.Is(err, fs.ErrNotExist) {
		return
	}
	p.Habits, p.Stale = coach.Habits{}, nil
	if err != nil {
		p.leaveOut(p.learntPath(), fmt.Errorf("cannot be read: %w", err), "move it away")
		return
	}
	if _, err := toml.Decode(string(data), &p.Habits); err != nil || !p.Habits.Valid() {
		p.leaveOut(p.learntPath(), errStrange, replaced)
	}
}

// replaced is what becomes of what was learnt and is of no use.
const replaced = "the next sitting or profile --forget replaces it"

func (p *Profile) leaveOut(where string, why error, remedy string) {
	p.Habits = coach.Habits{}
	p.Stale = fmt.Errorf("what was learnt of your playing, %s, %w: it is left out; %s", where, why, remedy)
}

// Learn keeps what was learnt of the player; no habits forget it. Of two sittings
// at once the last to end stays. What no player can have left is not kept.
func (p *Profile) Learn(h coach.Habits) error {
	if !h.Valid() {
		return fmt.Errorf("what was learnt of your playing in this sitting cannot be: %s stays as it was; please report it, with the take", p.learntPath())
	}
	var b bytes.Buffer
	err := toml.NewEncoder(&b).Encode(h)
	if err == nil {
		err = replaceFile(p.learntPath(), b.Bytes())
	}
	if err != nil {
		return fmt.Errorf("what was learnt of your playing, %s, cannot be written: %w; see that it is a file, in a folder that you may write", p.learntPath(), err)
	}
	p.Habits, p.Stale = h, nil
	return p.dropTable()
}

var habitsTable = regexp.MustCompile(`(?m)^[ \t]*\[habits\][ \t]*\r?\n(?:[ \t]*(?:\w+[ \t]*=.*)?\r?\n)*(?:[ \t]*\w+[ \t]*=.*\z)?`)

// dropTable takes what was learnt out of the profile, where it stands until it has
// a file of its own. A table with anything else in it is the player's, and stays:
// it is no longer read.
func (p *Profile) dropTable() error {
	text, err := readText(p.Path)
	at := habitsTable.FindIndex(text)
	if err != nil || at == nil {
		return nil
	}
	text = append(text[:at[0]:at[0]], text[at[1]:]...)
	if (&Profile{Settings: map[string]string{}}).parse(text) != nil {
		return nil
	}
	if err := replaceFile(p.Path, text); err != nil {
		return fmt.Errorf("profile %s cannot be written: %w", p.Path, err)
	}
	return nil
}
