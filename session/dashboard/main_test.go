package dashboard

import (
	"os"
	"testing"
)

// TestMain gives every test the same terminal environment.
func TestMain(m *testing.M) {
	if scene := os.Getenv(sceneVariable); scene != "" {
		playScene(scene)
	}
	for name, value := range map[string]string{"TERM": "xterm-256color", "LC_ALL": "C.UTF-8"} {
		if err := os.Setenv(name, value); err != nil {
			panic(err)
		}
	}
	for _, name := range []string{"NO_COLOR", "COLUMNS", "LINES", "COLORTERM"} {
		if err := os.Unsetenv(name); err != nil {
			panic(err)
		}
	}
	os.Exit(m.Run())
}
