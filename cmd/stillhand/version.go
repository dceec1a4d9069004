package main

import (
	"runtime/debug"
	"strings"
)

// version is what the build says of itself: the module's version, or the
// revision it was built from.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	setting := map[string]string{}
	for _, s := range info.Settings {
		setting[s.Key] = s.Value
	}
	parts := []string{info.Main.Version}
	if parts[0] == "" || parts[0] == "(devel)" {
		parts[0] = "devel"
		if revision := setting["vcs.revision"]; revision != "" {
			parts = append(parts, revision[:min(12, len(revision))])
		}
		if setting["vcs.modified"] == "true" {
			parts = append(parts, "modified")
		}
	}
	if tags := setting["-tags"]; tags != "" {
		parts = append(parts, "with "+tags)
	}
	return strings.Join(append(parts, info.GoVersion), " ")
}
