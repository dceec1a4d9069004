package dashboard

import "strings"

// glyphRows is the height of the large letters, in dots.
const glyphRows = 5

// letter is one large letter: rows of dots from the top, all of one width.
type letter [glyphRows]string

func (l *letter) width() int { return len(l[0]) }

// font holds the large letters. Only capitals: they read better from afar.
var font = func() map[rune]*letter {
	const table = `
0 ### #.# #.# #.# ###
1 .#. ##. .#. .#. ###
2 ### ..# ### #.. ###
3 ### ..# .## ..# ###
4 #.# #.# ### ..# ..#
5 ### #.. ### ..# ###
6 ### #.. ### #.# ###
7 ### ..# ..# .#. .#.
8 ### #.# ### #.# ###
9 ### #.# ### ..# ###
A .#. #.# ### #.# #.#
B ##. #.# ##. #.# ##.
C .## #.. #.. #.. .##
D ##. #.# #.# #.# ##.
E ### #.. ##. #.. ###
F ### #.. ##. #.. #..
G .### #... #.## #..# .###
H #.# #.# ### #.# #.#
I # # # # #
J ..# ..# ..# #.# .#.
K #..# #.#. ##.. #.#. #..#
L #.. #.. #.. #.. ###
M #...# ##.## #.#.# #...# #...#
N #..# ##.# #.## #..# #..#
O .#. #.# #.# #.# .#.
P ##. #.# ##. #.. #..
Q .##. #..# #..# #.#. .#.#
R ##. #.# ##. #.# #.#
S .## #.. .#. ..# ##.
T ### .#. .#. .#. .#.
U #.# #.# #.# #.# ###
V #.# #.# #.# #.# .#.
W #...# #...# #.#.# ##.## #...#
X #.# #.# .#. #.# #.#
Y #.# #.# .#. .#. .#.
Z ### ..# .#. #.. ###
b #.. #.. ##. #.# ##.
. . . . . #
, .. .. .. .# #.
: . # . # .
; .. .# .. .# #.
! # # # . #
? ##. ..# .#. ... .#.
' # # . . .
- ... ... ### ... ...
+ ... .#. ### .#. ...
/ ..# ..# .#. #.. #..
( .# #. #. #. .#
) #. .# .# .# #.
# .#.#. ##### .#.#. ##### .#.#.
% #..# ...# .##. #... #..#
= ... ### ... ### ...
~ .... .#.# #.#. .... ....
" #.# #.# ... ... ...
_ ... ... ... ... ###`
	letters := map[rune]*letter{
		' ':    {"..", "..", "..", "..", ".."},
		noMark: {"....", "....", "....", "....", "...."},
	}
	for line := range strings.Lines(strings.TrimSpace(table)) {
		fields := strings.Fields(line)
		l := letter(fields[1:])
		letters[rune(fields[0][0])] = &l
	}
	return letters
}()

// spell calls put for each large letter of s and the dot column where it
// begins, one dot between letters, and returns the dots in all. It is -1, and
// put is not called for the rest, where the font lacks a letter, so that
// nothing is left out in silence.
func spell(s string, put func(l *letter, x int)) (total int) {
	for i, r := range s {
		switch {
		case r == 'b' && flat(s, i):
		case r >= 'a' && r <= 'z':
			r -= 'a' - 'A'
		case r == '–', r == '—':
			r = '-'
		case r == '’':
			r = '\''
		}
		l := font[r]
		if l == nil {
			return -1
		}
		put(l, total)
		total += l.width() + 1
	}
	return max(total-1, 0)
}

// flat reports whether the b at i belongs to the name of a pitch, as in Eb2:
// a capital B there would read as the note B.
func flat(s string, i int) bool {
	switch {
	case i == 0 || s[i-1] < 'A' || s[i-1] > 'G':
		return false
	case i >= 2 && s[i-2] != ' ' && s[i-2] != '(':
		return false
	}
	return i+1 == len(s) || s[i+1] < 'a' || s[i+1] > 'z'
}

// dots is the width of s in dots; -1 if the font lacks a letter.
func dots(s string) int { return spell(s, func(*letter, int) {}) }
