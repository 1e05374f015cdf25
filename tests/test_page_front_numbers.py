"""Numbers as a person types them on the page, against `units`, which reads them on the server."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from mountgen.units import read_length

if TYPE_CHECKING:
    from playwright.sync_api import Page

Browse = Callable[..., "Page"]
TYPED = [
    ("1.250,5 mm", ".", "1250.5 mm", False),
    ("1,250.5 mm", ",", "1250.5 mm", False),
    ("1.250.000,5", ".", "1250000.5", False),
    ("1.250.000", ",", "1250000", False),
    ("1,250", ".", "1250", True),
    ("1,250", ",", "1.250", True),
    ("1.250", ".", "1.250", True),
    ("1.250", ",", "1250", True),
    ("0,125", ".", "0.125", False),
    ("3,2", ".", "3.2", False),
    ("12.5", ",", "12.5", False),
    ("1250,5", ".", "1250.5", False),
    ("1 250,5 mm", ".", "1250.5 mm", True),
    ("2 1/4 in", ",", "2 1/4 in", False),
    ("2 100/128 in", ".", "2 100/128 in", False),
    ("2½ in", ".", "2 1/2 in", False),
    ("850 +/- 1,5 mm", ",", "850 +/- 1.5 mm", False),
    ("12,34.5", ".", "12,34.5", False),
    ("1.2.3", ".", "1.2.3", False),
    ("30 m/min", ",", "30 m/min", False),
]
LENGTHS = [
    *("850 mm", "2 1/4 in", "2-1/4 in", "1/8 in", "850 +/- 5 mm", "33 1/2 +/- 1/4 in", "-6 mm", "-1/4 in"),
    *("1 ft 9 1/4 in", "5'-3 1/2\"", '3 1/2"', "2 ft", "1.2 m", "12 cm", "3.25 mm", "1e2 mm", ".5 in"),
]
NO_LENGTHS = ["", "2 1/", "mm", "30 m/min", "850 +/- mm", "1 2 3 mm", "1/0 in"]


def test_one_spelling_for_every_number(browse: Browse) -> None:
    ask = "cases => import('/app/number.js').then(n => cases.map(([text, mark]) => n.normalise(text, mark)))"
    found = browse((820, 1180)).evaluate(ask, [case[:2] for case in TYPED])
    assert [(one["text"], one["unsure"]) for one in found] == [case[2:] for case in TYPED]


def test_lengths_are_read_as_the_server_reads_them(browse: Browse) -> None:
    ask = "texts => import('/app/number.js').then(n => texts.map(text => n.readLength(text, 'mm')))"
    page = browse((820, 1180))
    for text, found in zip(LENGTHS, page.evaluate(ask, LENGTHS), strict=True):
        known = read_length(text, "mm", negative=True)
        assert found["mm"] == pytest.approx(float(known), rel=1e-12)
        assert found["off"] == pytest.approx(known.plus_minus, rel=1e-12)
    assert page.evaluate(ask, NO_LENGTHS) == [None] * len(NO_LENGTHS)
