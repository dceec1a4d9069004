// Command compose makes every recording in testdata again from the scores.
//
//	go run ./testdata/compose [DIR]
//
// DIR is the testdata folder to read the scores from and to write into; it is
// ./testdata when left out.
package main

import (
	"fmt"
	"os"
	"path/filepath"

	"stillhand/testdata/score"
)

func main() {
	dir := "testdata"
	if len(os.Args) > 1 {
		dir = os.Args[1]
	}
	if err := compose(dir); err != nil {
		fmt.Fprintln(os.Stderr, "compose:", err)
		os.Exit(1)
	}
}

func compose(dir string) error {
	files, err := score.Recordings(os.DirFS(dir))
	if err != nil {
		return err
	}
	for name, data := range files {
		to := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(to, data, 0o644); err != nil {
			return err
		}
	}
	fmt.Printf("%d files written to %s\n", len(files), dir)
	return nil
}
