package dashboard

import "strings"

// glyphRows is the height of the large letters, in dots.
const glyphRows = 5

// font holds the large letters: rows of dots from the top, of any width. Only
// capitals: they read better from afar.
var font = func() map[rune][glyphRows]string {
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
	letters := map[rune][glyphRows]string{
		' ':               {"..", "..", "..", "..", ".."},
		[]rune(noMark)[0]: {"....", "....", "....", "....", "...."},
	}
	for line := range strings.Lines(strings.TrimSpace(table)) {
		fields := strings.Fields(line)
		letters[[]rune(fields[0])[0]] = [glyphRows]string(fields[1:])
	}
	return letters
}()

// spell turns s into large letters. It fails where the font lacks one, so that
// nothing is left out in silence.
func spell(s string) (letters [][glyphRows]string, ok bool) {
	runes := []rune(s)
	for i, r := range runes {
		switch {
		case r == 'b' && flat(runes, i):
		case r >= 'a' && r <= 'z':
			r -= 'a' - 'A'
		case r == '–', r == '—':
			r = '-'
		case r == '’':
			r = '\''
		}
		letter, known := font[r]
		if !known {
			return nil, false
		}
		letters = append(letters, letter)
	}
	return letters, true
}

// flat reports whether the b at i belongs to the name of a pitch, as in Eb2:
// a capital B there would read as the note B.
func flat(runes []rune, i int) bool {
	if i == 0 || runes[i-1] < 'A' || runes[i-1] > 'G' {
		return false
	}
	if i >= 2 && runes[i-2] != ' ' && runes[i-2] != '(' {
		return false
	}
	return i+1 == len(runes) || !(runes[i+1] >= 'a' && runes[i+1] <= 'z')
}

// dots is the width of s in dots, one dot between letters; -1 if the font
// lacks a letter.
func dots(s string) int {
	letters, ok := spell(s)
	if !ok {
		return -1
	}
	n := -1
	for _, l := range letters {
		n += len(l[0]) + 1
	}
	return max(n, 0)
}
