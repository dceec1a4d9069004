package coach

// manner is what a style believes of the line and of the hand.
type manner int

const (
	// reacting: the line is given and the hand follows it. The hand stays while
	// the note lies in the window and otherwise moves. Moves are normalised over
	// what reaches the note, so later notes say nothing about earlier positions.
	reacting manner = iota
	// planning: the line is given, and the hand goes where the notes to come
	// will lie, so later notes tell where it was.
	planning
	// placed: the hand chooses a window and the notes come out of it, so later
	// notes tell where the window was, and notes that stay in few windows speak
	// for this style.
	placed
)

// style is one way of playing: the parameters of one hidden Markov model over
// strings and positions. All were tuned on simulated players (see the package's doc).
type style struct {
	manner   manner
	prior    float64 // weight before anything is heard
	move     float64 // probability of a move that the note does not force
	fall     float64 // factor a fret of distance
	cross    float64 // factor a string crossed
	open     float64 // weight of an open string against a fretted place
	extend   float64 // weight of a place one fret outside the window against one inside
	force    float64 // reacting: weight of a move to reach a string, against one that needs none
	up, down int     // reacting: the fingers that lead, counted from the first; 0 for the least move
	lead     float64 // reacting: factor a fret of going further than the nearest finger
}

// commonStyles is how many styles come first that most hands are near to. They
// learn their player; the others stay what they are, or they would become alike.
const commonStyles = 5

// leaders is up to which finger a style may prefer to lead its moves with.
const leaders = 4

// styles is the bank that every tracker weighs. Its weights sum to one.
var styles = func() (all [commonStyles + leaders*leaders]style) {
	bank := append(all[:0],
		// moves as little as it must, and only when no string has the note in the window
		style{manner: reacting, prior: 0.379, move: 0.0025, fall: 0.195, cross: 0.21, open: 0.017, extend: 0.0044, force: 0.18, lead: 0.14},
		// keeps to a string and moves along it
		style{manner: reacting, prior: 0.072, move: 0.0032, fall: 0.32, cross: 0.098, open: 7, extend: 0.014, force: 0.1, lead: 0.55},
		// moves as little as it must, and lands surely
		style{manner: reacting, prior: 0.134, move: 0.00028, fall: 0.024, cross: 0.18, open: 0.51, extend: 0.00013, force: 0.0021, lead: 0.091},
		// plans
		style{manner: planning, prior: 0.38626, move: 0.053, fall: 0.56, cross: 0.56, open: 0.58, extend: 0.0018},
		// plays in a window
		style{manner: placed, prior: 0.0153, move: 0.025, fall: 0.68, cross: 1, open: 0.14, extend: 0.015},
	)
	// keeps to a string, and always leads up with one finger and down with one
	for up := 1; up <= leaders; up++ {
		for down := 1; down <= leaders; down++ {
			bank = append(bank, style{manner: reacting, prior: 0.00084, move: 0.00039, fall: 0.962, cross: 0.045, open: 0.075, extend: 0.00071, force: 0.36,
				up: up, down: down, lead: 0.071})
		}
	}
	return all
}()

// low is the factor a fret by which a hand that moves would rather be lower.
const low = 0.89

// lower is the factor a fret by which a reacting hand that no string spares a way
// out of its window would rather go for the string that has the note lower.
const lower = 0.91
