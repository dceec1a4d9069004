package midiin

import (
	"cmp"
	"iter"
	"slices"
	"strings"
)

// splitLines finds lines spread over tracks, a string each: tracks whose names
// are equal but for the name of a string, or three and more that have one name,
// numbered or not, or none. Two with numbers are rather two basses, unless their
// name says that they are strings or the player named their channels. What is a
// string is no line of its own: such parts are in strung.
func (s *scan) splitLines(parts []int) (lines []candidate, strung []int) {
	for g := range s.namesakes(parts) {
		said := g.strings || s.saidStrings(g.parts)
		if (said || len(g.parts) > 2) && s.likeStrings(&ensemble{scan: s, parts: g.parts}) {
			lines = append(lines, candidate{parts: g.parts, strings: true})
			strung = append(strung, g.parts...)
		}
	}
	return lines, strung
}

// namesakes is parts whose tracks share a name but for that of a string.
type namesakes struct {
	parts   []int
	named   []string // the string that each names, "" for none
	strings bool     // each names a string
}

// namesakes yields parts by the names of their tracks.
func (s *scan) namesakes(parts []int) iter.Seq[namesakes] {
	groups := map[string][]int{}
	named := map[string][]string{} // by stem, the string that each track names
	var stems []string
	for _, i := range parts {
		stem, str := nameStem(s.trackName(int(s.parts[i].track)))
		if groups[stem] == nil {
			stems = append(stems, stem)
		}
		groups[stem] = append(groups[stem], i)
		named[stem] = append(named[stem], str)
	}
	return func(yield func(namesakes) bool) {
		for _, stem := range stems {
			// One letter for all is no string's: an E-Bass is an electric bass.
			strs := slices.Compact(slices.Clone(named[stem]))
			if !yield(namesakes{groups[stem], named[stem], len(strs) > 1 && !slices.Contains(strs, "")}) {
				return
			}
		}
	}
}

// saidStrings reports whether the player named the channels of all parts, and they
// are of one instrument: channels may have been named for another file.
func (s *scan) saidStrings(parts []int) bool {
	program := s.program(parts)
	return !slices.ContainsFunc(parts, func(i int) bool {
		p := &s.parts[i]
		return s.told&(1<<p.channel) == 0 || p.program >= 0 && p.program != program
	})
}

// nameStem is what the tracks of one instrument's strings share of their names:
// the name without a number and without the pitch that names the string ("bass"
// of "Bass e1"), and the string that it names: by such a pitch, or by the number of
// a string ("String 3"); "" if none.
func nameStem(name string) (stem, str string) {
	var rest []string
	number, strung := "", false
	for _, w := range strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return strings.ContainsRune(" -_.:/()", r) }) {
		letters := strings.TrimRight(w, "0123456789")
		switch {
		case letters == "":
			number = w
			continue
		case len(letters) == 1 && letters >= "a" && letters <= "g":
			str = w
			continue
		case slices.Contains([]string{"string", "str", "saite", "corde", "cuerda", "corda"}, letters):
			strung, number = true, cmp.Or(w[len(letters):], number)
			w = letters
		}
		rest = append(rest, w)
	}
	if strung {
		str = cmp.Or(str, number)
	}
	return strings.Join(rest, " "), str
}

// leastWithTen is how many channels a track has at least of which channel 10 is a
// string: two parts beside drums often look like three strings (a third of simulated
// ones), three hardly and four never.
const leastWithTen = 4

// tenth finds the parts on channel 10 that are no drums but a string: those of tracks
// that are named as the strings of one instrument, and those of a track that lie in
// order with the strings of other channels.
func (s *scan) tenth() {
	for t := range s.tracks {
		first, n := s.tracks[t].firstPart, s.tracks[t].parts
		if n < leastWithTen || n > mostStrings {
			continue
		}
		var parts []int
		for i := range n {
			parts = append(parts, first+i)
		}
		s.markTenth(parts, s.inOrder(parts))
	}
	for g := range s.namesakes(s.lone()) {
		s.markTenth(g.parts, g.strings)
	}
}

// lone is the parts that have a track each, for as many as are looked at.
func (s *scan) lone() (parts []int) {
	for t := range s.tracks {
		if s.format != 2 && s.tracks[t].parts == 1 && len(parts) < maxStringParts {
			parts = append(parts, s.tracks[t].firstPart)
		}
	}
	return parts
}

// markTenth notes that the part on channel 10 is a string, if there is one and the
// others look like strings with it.
func (s *scan) markTenth(parts []int, may bool) {
	ten := slices.IndexFunc(parts, func(i int) bool { return s.parts[i].channel == percussion })
	if ten >= 0 && may && s.likeStrings(&ensemble{scan: s, parts: parts}) {
		s.parts[parts[ten]].strung = true
	}
}

// inOrder reports whether the mean pitches of a track's parts go up or down with their
// channels, as those of strings mostly do and drums beside strings hardly.
func (s *scan) inOrder(parts []int) bool {
	var means []float64
	for _, i := range parts {
		means = append(means, s.parts[i].mean())
	}
	up := slices.IsSorted(means)
	slices.Reverse(means)
	return up || slices.IsSorted(means)
}
