package main

import (
	"path/filepath"
	"strings"
)

// distinctNames gives those of paths whose base name another file among them has
// a name that tells them apart: as many of their folders as that takes.
func distinctNames(paths []string) map[string]string {
	files := map[string]bool{}
	ends := map[string]int{} // how many files' paths end so
	for _, path := range paths {
		file := filepath.Clean(path)
		if files[file] {
			continue
		}
		files[file] = true
		for end, more := filepath.Base(file), true; more; end, more = longerEnd(file, end) {
			ends[end]++
		}
	}
	names := map[string]string{}
	for _, path := range paths {
		file := filepath.Clean(path)
		end, more := filepath.Base(file), true
		if ends[end] == 1 {
			continue
		}
		for ends[end] > 1 && more {
			end, more = longerEnd(file, end)
		}
		names[path] = end
	}
	return names
}

// longerEnd is the end of a path with one folder more than end; the whole path
// has none.
func longerEnd(path, end string) (longer string, more bool) {
	if len(end) >= len(path) {
		return path, false
	}
	before := strings.TrimSuffix(path[:len(path)-len(end)], string(filepath.Separator))
	return path[strings.LastIndexByte(before, filepath.Separator)+1:], true
}
