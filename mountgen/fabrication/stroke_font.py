"""A single-line font for marking part numbers: capitals, digits, hyphen, point, slash and space.

A letter is drawn on a grid 4 wide and 6 high with straight strokes; the next one starts 6 further on.
Nothing here depends on fonts that are, or are not, installed where the drawing is opened.
"""

from __future__ import annotations

from mountgen.geometry import Vec2

GRID_HEIGHT = 6.0
GRID_WIDTH = 4.0
GRID_ADVANCE = 6.0

Stroke = tuple[Vec2, ...]

_DRAWN: dict[str, str] = {
    " ": "",
    "-": "1,3 3,3",
    ".": "1.7,0 2.3,0 2.3,.6 1.7,.6 1.7,0",
    "/": "0,0 4,6",
    "0": "1,0 3,0 4,1 4,5 3,6 1,6 0,5 0,1 1,0 | .5,.5 3.5,5.5",
    "1": "1,4.5 2.5,6 2.5,0 | 1,0 4,0",
    "2": "0,5 1,6 3,6 4,5 4,4 0,0 4,0",
    "3": "0,6 4,6 2,3.5 3,3.5 4,2.5 4,1 3,0 1,0 0,1",
    "4": "3,0 3,6 0,2 4,2",
    "5": "4,6 0,6 0,3.5 3,3.5 4,2.5 4,1 3,0 1,0 0,1",
    "6": "4,5 3,6 1,6 0,5 0,1 1,0 3,0 4,1 4,2.5 3,3.5 0,3.5",
    "7": "0,6 4,6 1.5,0",
    "8": "1,3.2 0,4.2 0,5 1,6 3,6 4,5 4,4.2 3,3.2 1,3.2 0,2.2 0,1 1,0 3,0 4,1 4,2.2 3,3.2",
    "9": "0,1 1,0 3,0 4,1 4,5 3,6 1,6 0,5 0,3.5 1,2.5 4,2.5",
    "A": "0,0 2,6 4,0 | .7,2 3.3,2",
    "B": "0,0 0,6 3,6 4,5 4,4.2 3,3.2 4,2.2 4,1 3,0 0,0 | 0,3.2 3,3.2",
    "C": "4,1 3,0 1,0 0,1 0,5 1,6 3,6 4,5",
    "D": "0,0 0,6 2.5,6 4,4.5 4,1.5 2.5,0 0,0",
    "E": "4,0 0,0 0,6 4,6 | 0,3.2 3,3.2",
    "F": "0,0 0,6 4,6 | 0,3.2 3,3.2",
    "G": "4,5 3,6 1,6 0,5 0,1 1,0 3,0 4,1 4,3 2.5,3",
    "H": "0,0 0,6 | 4,0 4,6 | 0,3 4,3",
    "I": "1,0 3,0 | 2,0 2,6 | 1,6 3,6",
    "J": "0,1 1,0 3,0 4,1 4,6",
    "K": "0,0 0,6 | 4,6 0,2.5 | 1.2,3.55 4,0",
    "L": "0,6 0,0 4,0",
    "M": "0,0 0,6 2,3 4,6 4,0",
    "N": "0,0 0,6 4,0 4,6",
    "O": "1,0 3,0 4,1 4,5 3,6 1,6 0,5 0,1 1,0",
    "P": "0,0 0,6 3,6 4,5 4,4 3,3 0,3",
    "Q": "1,0 3,0 4,1 4,5 3,6 1,6 0,5 0,1 1,0 | 2.5,1.5 4.2,-.2",
    "R": "0,0 0,6 3,6 4,5 4,4 3,3 0,3 | 2,3 4,0",
    "S": "0,1 1,0 3,0 4,1 4,2.3 3,3.2 1,3.2 0,4.1 0,5 1,6 3,6 4,5",
    "T": "2,0 2,6 | 0,6 4,6",
    "U": "0,6 0,1 1,0 3,0 4,1 4,6",
    "V": "0,6 2,0 4,6",
    "W": "0,6 1,0 2,4 3,0 4,6",
    "X": "0,0 4,6 | 0,6 4,0",
    "Y": "0,6 2,3 4,6 | 2,3 2,0",
    "Z": "0,6 4,6 0,0 4,0",
}


def text_width(text: str, height: float) -> float:
    """Width of a line of text in mm."""
    return (GRID_ADVANCE * (len(text) - 1) + GRID_WIDTH) * height / GRID_HEIGHT


def text_strokes(text: str, height: float) -> tuple[Stroke, ...]:
    """The strokes of a line of text in mm, its lower left corner at (0, 0).

    ValueError: a character that the font does not have (small letters among them).
    """
    unknown = sorted(set(text) - set(_DRAWN))
    if unknown:
        raise ValueError(f"the marking font has no {unknown[0]!r}; it has A-Z, 0-9, '-', '.', '/' and space")
    size = height / GRID_HEIGHT
    return tuple(
        tuple((size * (x + GRID_ADVANCE * place), size * y) for x, y in stroke)
        for place, letter in enumerate(text)
        for stroke in _letter_strokes(letter)
    )


def _letter_strokes(letter: str) -> tuple[Stroke, ...]:
    drawn = _DRAWN[letter]
    return tuple(tuple(_grid_point(p) for p in stroke.split()) for stroke in drawn.split("|") if stroke)


def _grid_point(written: str) -> Vec2:
    x, y = written.split(",")
    return float(x), float(y)
