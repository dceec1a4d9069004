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
	key      float64 // placed: how far it goes where the key fills the window, as a power
	up, down int     // reacting: the fingers that lead, counted from the first; 0 for the least move
	lead     float64 // reacting: factor a fret of going further than the nearest finger
}

// commonStyles is how many styles come first that most hands are near to. They
// learn their player; the others stay what they are, or they would become alike.
const commonStyles = 6

// leaders is up to which finger a style may prefer to lead its moves with.
const leaders = 4

// crossLikings and openLikings are what hands that move as little as they must may
// think of crossing a string, as a factor a string, and of open strings, as a weight.
var (
	crossLikings = [...]float64{0.04, 0.12, 0.35, 1}
	openLikings  = [...]float64{0.03, 0.6}
)

// styles is the bank that every tracker weighs. Its weights sum to one.
var styles = func() (all [commonStyles + len(crossLikings)*len(openLikings) + 2*leaders*leaders]style) {
	bank := append(all[:0],
		// moves as little as it must, and only when no string has the note in the window
		style{manner: reacting, prior: 0.238, move: 0.0025, fall: 0.25, cross: 0.17, open: 0.019, extend: 0.0057, force: 0.12, lead: 0.31},
		// keeps to a string and moves along it
		style{manner: reacting, prior: 0.0511, move: 0.0032, fall: 0.23, cross: 0.13, open: 27, extend: 0.013, force: 0.087, lead: 0.4},
		// moves as little as it must, and lands surely
		style{manner: reacting, prior: 0.161, move: 0.00022, fall: 0.024, cross: 0.19, open: 0.28, extend: 0.00017, force: 0.0012, lead: 0.092},
		// plans
		style{manner: planning, prior: 0.40222, move: 0.053, fall: 0.56, cross: 0.53, open: 0.58, extend: 0.0026},
		// plays in a window that the key fills
		style{manner: placed, prior: 0.0151, move: 0.027, fall: 0.88, cross: 1, open: 0.16, extend: 0.021, key: keyPower},
		// plays in a window, wherever the key lies
		style{manner: placed, prior: 0.0297, move: 0.05, fall: 0.65, cross: 1, open: 0.16, extend: 0.01},
	)
	// moves as little as it must, with a taste of its own for strings
	for _, cross := range crossLikings {
		for _, open := range openLikings {
			bank = append(bank, style{manner: reacting, prior: 0.012, move: 0.001, fall: 0.25, cross: cross, open: open, extend: 0.00092, force: 0.12, lead: 0.2})
		}
	}
	// always leads up with one finger and down with one
	for up := 1; up <= leaders; up++ {
		for down := 1; down <= leaders; down++ {
			bank = append(bank,
				// keeps to a string
				style{manner: reacting, prior: 0.012, move: 0.00039, fall: 0.85, cross: 0.063, open: 0.021, extend: 0.00092, force: 0.65,
					up: up, down: down, lead: 0.066},
				// leaves it rather than move
				style{manner: reacting, prior: 0.006, move: 0.001, fall: 0.25, cross: 0.4, open: 0.1, extend: 0.00092, force: 0.12,
					up: up, down: down, lead: 0.066})
		}
	}
	sum := 0.0
	for _, st := range all {
		sum += st.prior
	}
	for k := range all {
		all[k].prior /= sum
	}
	return all
}()

// low is the factor a fret by which a hand that moves would rather be lower.
const low = 0.89

// lower is the factor a fret by which a reacting hand that no string spares a way
// out of its window would rather go for the string that has the note lower.
const lower = 0.91
