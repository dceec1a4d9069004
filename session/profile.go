package session

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"github.com/BurntSushi/toml"

	"stillhand/coach"
)

// Profile is the player's own file: settings as text, when the reach was
// found, and what the tracker has learnt of the player.
type Profile struct {
	Path       string
	Settings   map[string]string
	ReachFound string // date, 2006-01-02; "" when the reach was typed in
	Habits     coach.Habits
	Stale      bool // what was learnt came from another version and was left out
}

// written is the file's shape beside the settings; read holds back what was
// learnt, whose shape follows the tracker's and may be another version's.
type (
	written struct {
		ReachFound string       `toml:"reach_found,omitempty"`
		Habits     coach.Habits `toml:"habits"`
	}
	read struct {
		ReachFound string         `toml:"reach_found"`
		Habits     toml.Primitive `toml:"habits"`
	}
)

// ReadProfile reads the profile at path; one that does not exist is empty.
// Unknown keys are errors, so that a misspelt one is not silently ignored.
func ReadProfile(path string) (*Profile, error) {
	p := &Profile{Path: path, Settings: map[string]string{}}
	data, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return p, nil
	}
	if err != nil {
		return nil, fmt.Errorf("profile %s cannot be read: %w", path, err)
	}
	return p, p.parse(data)
}

func (p *Profile) parse(data []byte) error {
	var file read
	var all map[string]any
	if _, err := toml.Decode(string(data), &all); err != nil {
		return fmt.Errorf("profile %s: %w; correct the line or delete the file", p.Path, err)
	}
	meta, err := toml.Decode(string(data), &file)
	if err != nil {
		return fmt.Errorf("profile %s: %w; correct the line or delete the file", p.Path, err)
	}
	for _, key := range meta.Undecoded() {
		name := key.String()
		if key[0] == "habits" {
			continue
		}
		if !slices.ContainsFunc(Settings, func(s Setting) bool { return s.Name == name }) {
			return fmt.Errorf("profile %s: unknown key %q: take it out, or write one of %s", p.Path, name, SettingNames())
		}
		switch value := all[name].(type) {
		case string, int64, float64:
			p.Settings[name] = fmt.Sprint(value)
		case bool:
			p.Settings[name] = map[bool]string{true: "on", false: "off"}[value]
		default:
			return fmt.Errorf("profile %s: %s must be text or a number", p.Path, name)
		}
	}
	p.ReachFound = file.ReachFound
	if meta.IsDefined("habits") && meta.PrimitiveDecode(file.Habits, &p.Habits) != nil {
		p.Habits, p.Stale = coach.Habits{}, true
	}
	return nil
}

// Lookup is p as a Layer's.
func (p *Profile) Lookup(name string) (string, bool) {
	text, ok := p.Settings[name]
	return text, ok
}

// Update reads the file again, so that what another sitting wrote meanwhile
// stays, applies change and writes it.
func (p *Profile) Update(change func(*Profile)) error {
	fresh, err := ReadProfile(p.Path)
	if err != nil {
		return err
	}
	change(fresh)
	if err := fresh.Write(); err != nil {
		return err
	}
	*p = *fresh
	return nil
}

// Write replaces the file by way of a temporary one, 0600 in a 0700 folder.
func (p *Profile) Write() error {
	var b bytes.Buffer
	for _, s := range Settings {
		if text, ok := p.Settings[s.Name]; ok {
			fmt.Fprintf(&b, "%s = %q\n", s.Name, text)
		}
	}
	if err := toml.NewEncoder(&b).Encode(written{p.ReachFound, p.Habits}); err != nil {
		return fmt.Errorf("profile %s: %w", p.Path, err)
	}
	folder := filepath.Dir(p.Path)
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return fmt.Errorf("profile folder %s cannot be made: %w", folder, err)
	}
	tmp, err := os.CreateTemp(folder, ".profile-*")
	if err != nil {
		return fmt.Errorf("profile %s cannot be written: %w", p.Path, err)
	}
	defer os.Remove(tmp.Name())
	_, err = tmp.Write(b.Bytes())
	if err = errors.Join(err, tmp.Sync(), tmp.Close()); err == nil {
		err = os.Rename(tmp.Name(), p.Path)
	}
	if err != nil {
		return fmt.Errorf("profile %s cannot be written: %w", p.Path, err)
	}
	return nil
}
