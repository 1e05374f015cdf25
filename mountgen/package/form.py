"""The survey form: one page to print and to fill in with a pencil at the line.

Its letters are those of the starter survey's comments. The page is tagged (PDF/UA-1), has a fixed date and
the fonts of the package: same words, same bytes.
"""

from __future__ import annotations

from collections.abc import Iterable

from mountgen.package.form_front import SIZE as FRONT_SIZE
from mountgen.package.form_front import front_view
from mountgen.package.form_plan import SIZE as PLAN_SIZE
from mountgen.package.form_plan import plan_view
from mountgen.package.typeset import typeset
from mountgen.survey.asked import LINE, PRODUCT, Asked
from mountgen.units import System

CAUTIONS = (
    "Measure on a stopped line only, locked out by its owner's procedure. Try to start it before you "
    "reach in.",
    "Pinch points: rollers, belt, chain, guides. No hand in a running line; ask its owner's people for "
    "the speed.",
    "Local codes and the owner's rules come first. Open no cabinet.",
)
WATCH = (
    "roller axles and leg bolts in the rail's web",
    "guides: where they are open, clamps, brackets",
    "drive, guards, chain, cables, belt return",
    "sensors, reflectors, stops, flattening rollers",
    "lid flaps, soft tops, bulged or turned products",
    "room behind the web for nuts or a backing plate",
)
TICKS = (
    ("Flow", ("left to right", "right to left")),
    ("Surface", ("belt", "rollers", "chain")),
    ("Around", ("dry", "dusty", "wash-down")),
    ("Flanges point", ("in", "out")),
    ("Mount may be", ("bolted", "clamped")),
    ("Drive side", ("near", "far")),
    ("Operator side", ("near", "far")),
    ("Print on", ("near side", "top")),
)
_NUMBERS = {"P": 2, "Q": 2, "H": 3}
"""How many numbers a letter stands for, when not one."""


def form_pdf(units: System) -> bytes:
    """The survey form: A4 for mm, Letter for inches."""
    return typeset("form.typ", form_data(units))


def form_data(units: System) -> dict[str, object]:
    """Everything on the page, ready to be set."""
    metric = units == "mm"
    return {
        "paper": "a4" if metric else "us-letter",
        "unit": "mm" if metric else "inches",
        "cautions": CAUTIONS,
        "watch": WATCH,
        "ticks": TICKS,
        "front": front_view(),
        "front_width": FRONT_SIZE[0],
        "plan": plan_view(),
        "plan_width": PLAN_SIZE[0],
        "line": _boxes(asked for asked in LINE if asked.letter != "T"),
        "product": [[asked.letter, asked.what] for asked in PRODUCT],
        "product_rows": 4 if metric else 3,
        "keepout_rows": 3 if metric else 2,
    }


def _boxes(asked: Iterable[Asked]) -> list[list[str | int]]:
    """Letter, words, and how many numbers are asked for."""
    return [[one.letter, one.what, _NUMBERS.get(one.letter, 1)] for one in asked]
