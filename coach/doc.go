// Package coach computes where a bass player's fretting hand is, what moving
// it cost, and what the other finger system would have asked.
//
// Start with Neck and System, then Note: the Economy types give exact optima
// of a line of notes, Tracker infers the hand that played it, and Adviser
// compares the two.
//
// The package is pure: standard library only, no clock, no I/O, no goroutine,
// no MIDI type and no screen. Time arrives as values. Nothing is random.
// Strings are numbered from 1, the highest-sounding; 0 means unknown.
//
// # The tracker: what was taken from where
//
// Fingering as a shortest path through layers of places is Sayegh's (1989).
// Hori and Sagayama (2016) let a transition fall with distance over available
// time; here the time is the gap from release to onset, read against how this
// player parts notes and never as a veto, since a reading by a fixed law
// misleads with whoever plays short notes. The time of a move has the shape of
// Fitts' law (1954). Settling after two notes or at a rest follows
// Narasimhan et al. (2006), who found bounded delay nearly free; waiting as
// Šrámek et al. (2007) do, until all paths coalesce, is exact but unbounded
// after a single ambiguous note.
//
// # The tracker: what was found better
//
// Measured on simulated players of five families, 24 a family, by the share of
// positions that are exactly right and by the error of the shift count, with
// strings told and from pitch alone; session's accuracy test prints today's
// table. The first steps were measured on our own players, one after the other:
//
//   - Reading a gap as the longer of two, the one that the player's touch leaves
//     and the one that a move needs, and the touch as notes that are bound or
//     silent for a share of the time to the next, in place of one histogram a
//     class of move: the error of the shift count fell from 0.154 to 0.110 told
//     and from 0.340 to 0.257 from pitch.
//   - Learning where the hand lands by its share of each landing alone. With a
//     factor for the distance beside it the same moves counted twice, and what
//     was learnt fed on itself: 0.843 to 0.851 right told, 0.608 to 0.618 from
//     pitch.
//   - A style for every pair of fingers that may lead moves up and down, each of
//     them improbable until gaps speak for it: 0.851 to 0.878 told, and 0.759 to
//     0.898 for hands that go along one string. Learning the landing within one
//     style finds the wrong pair as often as not.
//   - Styles that take the line as given must not be weighed by the strings they
//     foretell: doing so took 0.03 from the exact positions of planning hands.
//
// Three more sets of players, written from the families' description alone,
// showed how much of this was fitted to the first: on the third, which the
// search for the tracker's numbers never saw, it reached 0.876 told and 0.660
// from pitch with shift counts off by 0.17 and 0.47. With what follows, 0.911 and
// 0.746, and 0.09 and 0.19. Each left out by itself, before the last three came:
//
//   - Waiting for two further notes, for two seconds and not through a rest, in
//     place of 400 ms. With those: 0.902 and 0.730. One further note: 0.905 and
//     0.734; none: 0.891 and 0.714; ten: 0.914 and 0.752.
//   - Hearing a gap against the last few notes as well, for the touch changes
//     from phrase to phrase and a run of short notes is not a row of moves (see
//     recent). Without: 0.905 and 0.718, counts off by 0.17 and 0.35.
//   - Knowing a silence that is the one before it again, as in files that were
//     written and not played (see steady): one window at 40 notes a minute, each
//     sounding for 96 per cent, was read as 27 moves of 48 notes, and is as two or
//     three; 25 moves of 96 notes without any silence as 4 to 7, and are as 18. The
//     simulated players' figures do not change.
//   - A string sounds one note at a time, so notes that ring into the next tell
//     strings apart (see sustain). Without: 0.733 from pitch.
//   - A hand that chooses its window goes where notes of the key lie under both
//     outer fingers, for scales are taught as patterns that fill a window (see
//     layGoals). Without: 0.907 and 0.745.
//   - A hand reluctant to move, whatever its style (see reluctance). Without:
//     0.743 from pitch, counts off by 0.11 and 0.22.
//   - A hand that must leave its window goes for the string with the lower fret
//     (see lower). Without it nothing changes on the third; over all four sets
//     0.008 from pitch.
//   - All numbers tuned together, on the other three sets.
//   - A second style that chooses its window, wherever the key lies, for a root or a
//     shape of the hand may choose it too. On the third it changes nothing but the
//     calibration; without it 0.889 and 0.699 of our own players, with it 0.896 and
//     0.704.
//   - Every hand learning which finger it lands on, those too that see ahead. Without:
//     0.892 and 0.702 of our own.
//   - Moves claimed as surely as positions where strings are told (see temper): what
//     is said of them comes true as often as it says, and over all four sets the
//     count is off by 0.10 and not by 0.13.
//
// Two sets more, fourth and fifth, were written later as an examination, harder than
// all: 0.861 and 0.770 right told, 0.635 and 0.475 from pitch, over 120 players each.
// With what they showed, 0.872 and 0.777, and 0.643 and 0.481, the others as before:
//
//   - Learning how often a hand hides its moves (see usualHidden). Hands that lead with
//     one finger and hide a fourth of their moves went from 0.82 to 1.00 after 500
//     notes, such as hide half from 0.39 to 0.83.
//   - Giving up a pair of leading fingers only when next to nothing speaks for it (see
//     leadersLost): that a hand hides moves is learnt when the right pair would be
//     asleep.
//
// What came last brought 0.903 to 0.904 told and 0.721 to 0.728 from pitch on the
// four, over 150 players each, 0.868 to 0.875 and 0.625 to 0.641 on fourth, and from
// pitch 0.480 to 0.486 on fifth. Over takes of 2500 notes, where more is learnt, it
// brought 0.909 to 0.911 and 0.730 to 0.744. Each left out by itself, over 60 players
// of whom all together make 0.903 and 0.729, on fourth 0.875 and 0.643, and from pitch
// 0.486 on fifth:
//
//   - Every style learning the player's touch as it would be if that style were right.
//     One touch for all was learnt from whichever style led, and then spoke against
//     any other: of 48 hands that go along one string, eight were lost so, though one
//     style alone explained the whole take far better. Without: 0.902 and 0.728, and
//     on fourth 0.870 and 0.633.
//   - Half the evidence for a window (see hear). Without: 0.902 and 0.727, and on fourth
//     0.873 and 0.639.
//   - Further styles of hands that move as little as they must, by what they think of
//     crossing a string and of open strings, and of leading fingers that would rather
//     leave the string than move. Without: 0.725 from pitch,
//     and 0.473 on fifth.
//
// Over 1200 notes, longer than the takes above, letting every style hear the first
// thousand and not the first quarter of that (see rouse) brings 0.004 told, and
// counts off by 0.08 and 0.17 in place of 0.09 and 0.19.
//
// From pitch alone the mixture is surer than it is right, with strings told less
// sure, so its claims are tempered (see temper), by what came true on all four sets.
//
// Tried without gain: beliefs of the hand that return a little to what all styles
// believe, a melody that knows in which register the line lies (0.001 told, claims
// from pitch much too sure), more styles that choose a window (0.01 worse told, 0.03
// from pitch, for the notes soon favour one of them whoever plays), more that plan
// (counts from pitch 0.01 nearer, 0.001 fewer right told), styles that place a finger
// of their choice on notes that force no move, positions a player favours,
// tempered weights, notes that tell less of the window the oftener the step to
// them was heard, letting landings fade, leaders that learn, learning each
// player's liking for open strings and for crossing, learning which finger
// plays or how often it reaches out of the window (0.007 and 0.020 worse), hands
// freer to move after a rest (on all six sets), leading hands that now and then move the
// least, any number of the styles' own searched for anew on all sets, and numbers of their own for told and for pitch alone.
// Learning the habits from the whole take before hearing it brings 0.004 told and
// 0.007 from pitch; remembering on which strings each step of the tune was played
// before, 0.005 from pitch, and claims that are much too sure. Remembering on
// which string each pitch lay confirms itself and costs 0.03 to 0.09 from pitch.
//
// Session's limit test tells how far this is from the best possible answers,
// those of the generating models themselves with every private habit known.
package coach
