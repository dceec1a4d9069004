package store

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
)

const programFolder = "stillhand"

// DataDir returns the folder of takes and history: $XDG_DATA_HOME/stillhand
// or ~/.local/share/stillhand (XDG Base Directory Specification 0.8, which
// says to ignore a relative path), ~/Library/Application Support/stillhand on
// macOS, %LocalAppData%\stillhand on Windows. It creates nothing.
func DataDir() (string, error) {
	return userFolder("XDG_DATA_HOME", "LocalAppData", ".local", "share")
}

// ConfigDir returns the folder of the profile, by the same rules:
// $XDG_CONFIG_HOME/stillhand or ~/.config/stillhand, the data folder's own
// place on macOS, %AppData%\stillhand on Windows. It creates nothing.
func ConfigDir() (string, error) {
	return userFolder("XDG_CONFIG_HOME", "AppData", ".config")
}

func userFolder(xdg, windows string, home ...string) (string, error) {
	if runtime.GOOS == "windows" {
		if base := os.Getenv(windows); base != "" {
			return filepath.Join(base, programFolder), nil
		}
		return "", fmt.Errorf("no folder for data: set %%%s%%", windows)
	}
	if base := os.Getenv(xdg); runtime.GOOS != "darwin" && filepath.IsAbs(base) {
		return filepath.Join(base, programFolder), nil
	}
	base, err := os.UserHomeDir()
	if err != nil {
		return "", errors.New("no folder for data: set $HOME")
	}
	if runtime.GOOS == "darwin" {
		home = []string{"Library", "Application Support"}
	}
	return filepath.Join(append(append([]string{base}, home...), programFolder)...), nil
}

// TakesDir returns the folder of takes under a data folder.
func TakesDir(dataDir string) string { return filepath.Join(dataDir, "takes") }

// trashDir returns the folder of deleted takes under a data folder.
func trashDir(dataDir string) string { return filepath.Join(dataDir, "trash") }
