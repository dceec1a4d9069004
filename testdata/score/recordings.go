package score

import (
	"fmt"
	"io/fs"
	"path"
	"strings"
)

// Recordings returns every file that is made and not written by hand, by its
// path under testdata, from the scores in dir/scores. band0.mid is band.mid in
// format 0.
func Recordings(dir fs.FS) (map[string][]byte, error) {
	scores, err := fs.Glob(dir, "scores/*.txt")
	if err != nil {
		return nil, err
	}
	if len(scores) == 0 {
		return nil, fmt.Errorf("no scores/*.txt: run this where testdata is")
	}
	files := Broken()
	for _, name := range scores {
		text, err := dir.Open(name)
		if err != nil {
			return nil, err
		}
		s, err := Parse(text)
		text.Close()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		stem := strings.TrimSuffix(path.Base(name), ".txt")
		file, truth, err := s.Write()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		files[stem+".mid"], files[stem+".truth.csv"] = file, truth
		if stem == "band" {
			s.Format = 0
			if files["band0.mid"], _, err = s.Write(); err != nil {
				return nil, fmt.Errorf("%s: %w", name, err)
			}
		}
	}
	return files, nil
}
