package store

import (
	"bytes"
	"io"
	"io/fs"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// memDisk is a file system in memory whose faults a test chooses. It keeps
// what an fsync made durable apart from what programs see.
type memDisk struct {
	mu      sync.Mutex
	names   map[string]*inode
	durable map[string]*inode
	changes []nameChange // of names, since the last SyncDir of their folder

	// fault is asked before each operation ("create", "write", "sync",
	// "rename", "remove", "mkdir", "syncdir", "read"); an error fails it.
	fault func(op, name string) error
	room  int           // bytes that may still be written; negative: no bound
	chunk int           // longest write that succeeds whole; 0: no bound
	slow  time.Duration // that an fsync of a file takes
	syncs int
}

type inode struct {
	data, durable []byte
	locked        bool
}

type nameChange struct {
	dirs  []string
	apply func(map[string]*inode)
}

func newMemDisk() *memDisk {
	return &memDisk{names: map[string]*inode{}, durable: map[string]*inode{}, room: -1}
}

func (d *memDisk) check(op, name string) error {
	if d.fault == nil {
		return nil
	}
	if err := d.fault(op, name); err != nil {
		return &fs.PathError{Op: op, Path: name, Err: err}
	}
	return nil
}

// set changes what the test injects while the recorder runs.
func (d *memDisk) set(change func(*memDisk)) {
	d.mu.Lock()
	defer d.mu.Unlock()
	change(d)
}

func (d *memDisk) change(apply func(map[string]*inode), names ...string) {
	apply(d.names)
	var dirs []string
	for _, name := range names {
		dirs = append(dirs, filepath.Dir(name))
	}
	d.changes = append(d.changes, nameChange{dirs, apply})
}

func (d *memDisk) MkdirAll(dir string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.check("mkdir", dir)
}

func (d *memDisk) Create(name string) (File, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err := d.check("create", name); err != nil {
		return nil, err
	}
	if d.names[name] != nil {
		return nil, &fs.PathError{Op: "create", Path: name, Err: fs.ErrExist}
	}
	node := &inode{locked: true}
	d.change(func(names map[string]*inode) { names[name] = node }, name)
	return &memFile{d, node, name}, nil
}

func (d *memDisk) OpenLocked(name string) (File, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	node := d.names[name]
	if node == nil {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	if node.locked {
		return nil, ErrLocked
	}
	node.locked = true
	return &memFile{d, node, name}, nil
}

func (d *memDisk) WriteFile(name string, data []byte) error {
	d.mu.Lock()
	if err := d.check("create", name); err != nil {
		d.mu.Unlock()
		return err
	}
	node := &inode{}
	d.change(func(names map[string]*inode) { names[name] = node }, name)
	d.mu.Unlock()
	file := &memFile{d, node, name}
	if _, err := file.Write(data); err != nil {
		return err
	}
	return file.Sync()
}

func (d *memDisk) ReadFile(name string) ([]byte, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err := d.check("read", name); err != nil {
		return nil, err
	}
	if node := d.names[name]; node != nil {
		return bytes.Clone(node.data), nil
	}
	return nil, &fs.PathError{Op: "read", Path: name, Err: fs.ErrNotExist}
}

func (d *memDisk) ReadFrom(name string, at int64) ([]byte, error) {
	data, err := d.ReadFile(name)
	return data[min(int(at), len(data)):], err
}

func (d *memDisk) Rename(from, to string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err := d.check("rename", from); err != nil {
		return err
	}
	node := d.names[from]
	if node == nil {
		return &fs.PathError{Op: "rename", Path: from, Err: fs.ErrNotExist}
	}
	d.change(func(names map[string]*inode) { names[to] = node; delete(names, from) }, from, to)
	return nil
}

func (d *memDisk) Remove(name string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err := d.check("remove", name); err != nil {
		return err
	}
	if d.names[name] == nil {
		return &fs.PathError{Op: "remove", Path: name, Err: fs.ErrNotExist}
	}
	d.change(func(names map[string]*inode) { delete(names, name) }, name)
	return nil
}

func (d *memDisk) Size(name string) (int64, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if node := d.names[name]; node != nil {
		return int64(len(node.data)), nil
	}
	return 0, &fs.PathError{Op: "size", Path: name, Err: fs.ErrNotExist}
}

func (d *memDisk) ReadDir(dir string) ([]string, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	var names []string
	for name := range d.names {
		if filepath.Dir(name) == dir {
			names = append(names, filepath.Base(name))
		}
	}
	slices.Sort(names)
	return names, nil
}

func (d *memDisk) SyncDir(dir string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err := d.check("syncdir", dir); err != nil {
		return err
	}
	d.changes = slices.DeleteFunc(d.changes, func(c nameChange) bool {
		if !slices.Contains(c.dirs, dir) {
			return false
		}
		c.apply(d.durable)
		return true
	})
	return nil
}

// losePower returns the disk as it may be found afterwards: files as at their
// last fsync, perhaps with a part of what came later, torn; names as at the
// last SyncDir, perhaps with the first few later changes. With nil for random
// all that may be lost is lost. No lock survives.
func (d *memDisk) losePower(random *rand.Rand) *memDisk {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.afterPowerLoss(random)
}

// afterPowerLoss is losePower for a fault, which is called with d.mu held.
func (d *memDisk) afterPowerLoss(random *rand.Rand) *memDisk {
	below := func(n int) int {
		if random == nil {
			return 0
		}
		return random.IntN(n)
	}
	after := newMemDisk()
	for name, node := range d.durable {
		after.durable[name] = node
	}
	for _, c := range d.changes[:below(len(d.changes)+1)] {
		c.apply(after.durable)
	}
	for name, node := range after.durable {
		data := bytes.Clone(node.durable)
		if tail := node.data[min(len(data), len(node.data)):]; len(tail) > 0 && below(2) == 1 {
			tail = bytes.Clone(tail[:below(len(tail)+1)])
			if len(tail) > 0 && below(2) == 1 {
				clear(tail[below(len(tail)):]) // length written, content not
			}
			data = append(data, tail...)
		}
		node := &inode{data: data, durable: bytes.Clone(data)}
		after.names[name], after.durable[name] = node, node
	}
	return after
}

// kill returns the disk as another program finds it once this one was killed.
func (d *memDisk) kill() *memDisk {
	d.mu.Lock()
	defer d.mu.Unlock()
	after := newMemDisk()
	for name, node := range d.names {
		after.names[name] = &inode{data: bytes.Clone(node.data)}
	}
	return after
}

func (d *memDisk) find(t *testing.T, suffix string) []string {
	t.Helper()
	d.mu.Lock()
	defer d.mu.Unlock()
	var found []string
	for name := range d.names {
		if strings.HasSuffix(name, suffix) {
			found = append(found, name)
		}
	}
	slices.Sort(found)
	return found
}

type memFile struct {
	disk *memDisk
	node *inode
	name string
}

func (f *memFile) Write(data []byte) (int, error) {
	d := f.disk
	d.mu.Lock()
	defer d.mu.Unlock()
	if err := d.check("write", f.name); err != nil {
		return 0, err
	}
	n := len(data)
	var err error
	if d.chunk > 0 && n > d.chunk {
		n, err = d.chunk, io.ErrShortWrite
	}
	if d.room >= 0 && n > d.room {
		n, err = d.room, &fs.PathError{Op: "write", Path: f.name, Err: syscall.ENOSPC}
	}
	if d.room >= 0 {
		d.room -= n
	}
	f.node.data = append(f.node.data, data[:n]...)
	return n, err
}

func (f *memFile) ReadAt(p []byte, at int64) (int, error) {
	f.disk.mu.Lock()
	defer f.disk.mu.Unlock()
	return bytes.NewReader(f.node.data).ReadAt(p, at)
}

// Sync makes durable what was written before it was called.
func (f *memFile) Sync() error {
	f.disk.mu.Lock()
	f.disk.syncs++
	data, slow := bytes.Clone(f.node.data), f.disk.slow
	f.disk.mu.Unlock()
	if slow > 0 {
		time.Sleep(slow)
	}
	f.disk.mu.Lock()
	defer f.disk.mu.Unlock()
	if err := f.disk.check("sync", f.name); err != nil {
		return err
	}
	f.node.durable = data
	return nil
}

func (f *memFile) Close() error {
	f.disk.mu.Lock()
	defer f.disk.mu.Unlock()
	f.node.locked = false
	return nil
}
