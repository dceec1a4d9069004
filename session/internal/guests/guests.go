// Package guests gathers the sets of simulated players that the tracker is
// measured on: our own, and five that others wrote from the description of the
// five families alone, without sight of the tracker or of each other. Tests only.
//
// The last two, fourth and fifth, are one later author's, who wrote them as an
// examination. They are harder: there are hands that hide their moves from the
// gaps, land freely, and choose windows at random, and those of fifth take the
// greater liberties. That gaps hide moves, and how often (usualHidden in coach),
// was found with their help.
//
// Start with Sets.
package guests

import (
	"stillhand/session/internal/guests/first"
	"stillhand/session/internal/guests/fourth"
	"stillhand/session/internal/guests/second"
	"stillhand/session/internal/guests/third"
	"stillhand/session/internal/players"
)

// Set is the five families as one author sees them.
type Set struct {
	Name     string
	Families []Family
}

// Family is one kind of player. Play returns a take of n notes by the player
// that seed makes; equal arguments give equal takes.
type Family struct {
	Name string
	Play func(seed uint64, n int) players.Take
}

// Sets in order. The tracker's numbers may be searched for on the first three;
// they have not been on third, fourth and fifth, but for a few round ones of its last
// additions (further styles, half the evidence for a window), judged by all six.
var Sets = []Set{
	own(),
	guest("first", first.Families, first.Play),
	guest("second", second.Families, second.Play),
	guest("third", third.Families, third.Play),
	guest("fourth", fourth.Families, fourth.Play),
	guest("fifth", fourth.Families, fourth.PlayFreely),
}

func own() Set {
	s := Set{Name: "players"}
	for _, f := range players.Tuned {
		s.Families = append(s.Families, Family{f.Name, f.Play})
	}
	return s
}

func guest(name string, families []string, play func(family string, seed uint64, n int) players.Take) Set {
	s := Set{Name: name}
	for _, f := range families {
		s.Families = append(s.Families, Family{f, func(seed uint64, n int) players.Take { return play(f, seed, n) }})
	}
	return s
}
