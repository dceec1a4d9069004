package session

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"

	"github.com/BurntSushi/toml"

	"stillhand/coach"
)

// Profile is what is kept of the player: settings as text and when the reach was
// found, in the player's own file, and what the tracker has learnt, in a file
// beside it.
type Profile struct {
	Path       string
	Settings   map[string]string
	ReachFound string // date, 2006-01-02; "" when the reach was typed in
	Habits     coach.Habits
	Stale      error // why what was learnt was left out, if it was
}

// read is the file's shape beside the settings. It holds back what was learnt,
// which stands here until it has a file of its own (see learnt.go).
type read struct {
	ReachFound string         `toml:"reach_found"`
	Habits     toml.Primitive `toml:"habits"`
}

// MiswrittenError is a profile that was read and holds what none can hold: the
// player has to correct it.
type MiswrittenError struct{ err error }

func (e *MiswrittenError) Error() string { return e.err.Error() }
func (e *MiswrittenError) Unwrap() error { return e.err }

// ReadProfile reads the profile at path; one that does not exist is empty.
// Unknown keys are errors, so that a misspelt one is not silently ignored. The
// error is a *MiswrittenError where the player's own text is at fault.
func ReadProfile(path string) (*Profile, error) {
	p := &Profile{Path: path, Settings: map[string]string{}}
	data, err := readText(path)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("profile %s cannot be read: %w; correct it or move it away", path, err)
	}
	if err := p.parse(data); err != nil {
		return p, &MiswrittenError{err}
	}
	p.readLearnt()
	return p, nil
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
	if meta.IsDefined("habits") && (meta.PrimitiveDecode(file.Habits, &p.Habits) != nil || !p.Habits.Valid()) {
		p.leaveOut("[habits] in "+p.Path, errStrange, replaced)
	}
	return nil
}

// Lookup is p as a Layer's, but for a reach that is no hand's.
func (p *Profile) Lookup(name string) (string, bool) {
	text, ok := p.Settings[name]
	if name == "reach" && noHands(text) != nil {
		return "", false
	}
	return text, ok
}

// NoReach says why the reach in p is left out, if it is.
func (p *Profile) NoReach() error {
	if err := noHands(p.Settings["reach"]); err != nil {
		return fmt.Errorf("reach in the profile: %w; it is left out: find yours with stillhand reach, or correct the line in %s", err, p.Path)
	}
	return nil
}

// Set writes values into the file, each on its own line, and leaves all else in it
// as the player wrote it. What another program wrote meanwhile stays.
func (p *Profile) Set(values ...Field) error {
	text, err := readText(p.Path)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("profile %s cannot be read: %w; correct it or move it away", p.Path, err)
	}
	for _, v := range values {
		text = withLine(text, v)
	}
	fresh := &Profile{Path: p.Path, Settings: map[string]string{}}
	failed := fresh.parse(text)
	fresh.Habits, fresh.Stale = p.Habits, p.Stale
	for _, v := range values {
		if failed != nil || !fresh.holds(v) {
			return fmt.Errorf("profile %s cannot be changed line by line: write %s into it", p.Path, lineOf(v))
		}
	}
	if err := replaceFile(p.Path, text); err != nil {
		return fmt.Errorf("profile %s cannot be written: %w", p.Path, err)
	}
	*p = *fresh
	return nil
}

// reachFound is the key of the day on which the reach was found.
const reachFound = "reach_found"

func (p *Profile) holds(v Field) bool {
	if v.Key == reachFound {
		return p.ReachFound == v.Value
	}
	return p.Settings[v.Key] == v.Value
}

// SetReach writes a reach with the day on which it was found.
func (p *Profile) SetReach(text, day string) error {
	return p.Set(Field{"reach", text}, Field{reachFound, day})
}

func lineOf(v Field) string { return fmt.Sprintf("%s = %q", v.Key, v.Value) }

// byteOrderMark begins a file that some editors wrote; TOML's reader skips it.
const byteOrderMark = "\ufeff"

var tableHead = regexp.MustCompile(`(?m)^[ \t]*\[`)

// withLine is a file of TOML with v in the line of its key, before which and behind
// which nothing changes, or on a new line before the first table.
func withLine(text []byte, v Field) []byte {
	if rest, marked := bytes.CutPrefix(text, []byte(byteOrderMark)); marked {
		return slices.Concat([]byte(byteOrderMark), withLine(rest, v))
	}
	head := text
	if at := tableHead.FindIndex(text); at != nil {
		head = text[:at[0]]
	}
	key := regexp.QuoteMeta(v.Key)
	line := regexp.MustCompile(`(?m)^[ \t]*(?:` + key + `|"` + key + `"|'` + key + `')[ \t]*=[ \t]*("(?:[^"\\\n]|\\.)*"|'[^'\n]*'|[^\s#"']+)[ \t]*(?:#.*)?\r?$`)
	if at := line.FindSubmatchIndex(head); at != nil {
		return slices.Concat(text[:at[2]], strconv.AppendQuote(nil, v.Value), text[at[3]:])
	}
	end := "\n"
	if bytes.Contains(text, []byte("\r\n")) {
		end = "\r\n"
	}
	made := lineOf(v) + end
	if len(head) > 0 && head[len(head)-1] != '\n' {
		made = end + made
	}
	return slices.Concat(head, []byte(made), text[len(head):])
}

// mostText is how long the player's files may be, in bytes: thousands of times what
// they hold.
const mostText = 1 << 20

// errNoText is what is no file, such as a pipe, which could keep a reader waiting,
// or a device, which may have no end.
var errNoText = errors.New("it is no ordinary file")

// readText reads one of the player's files. The error is fs.ErrNotExist if there is
// none.
func readText(path string) ([]byte, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, errNoText
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, mostText+1))
	if len(data) > mostText {
		return nil, fmt.Errorf("it is longer than %d bytes", mostText)
	}
	return data, err
}

// replaceFile replaces a file by way of a temporary one, 0600 in a 0700 folder. A
// link stays one, to the new file. What is no file is left alone.
func replaceFile(path string, data []byte) error {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() {
		return errNoText
	}
	folder := filepath.Dir(path)
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return err
	}
	tmp, err := os.CreateTemp(folder, "."+filepath.Base(path)+"-*")
	if err != nil {
		return err
	}
	defer os.Remove(tmp.Name())
	_, err = tmp.Write(data)
	if err = errors.Join(err, tmp.Sync(), tmp.Close()); err != nil {
		return err
	}
	return os.Rename(tmp.Name(), path)
}
