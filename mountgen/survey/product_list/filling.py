"""Fills up what a list does not give, from one product that stands for all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from mountgen.survey.product_list.cells import EMPTY, Floats
from mountgen.survey.product_list.fields import SIZES
from mountgen.survey.product_list.settle import Settled
from mountgen.survey.product_list.table import MEASURED, ProductTable, number_row
from mountgen.survey.records import Product

_TEXTS = ("names", "against", "face")
_PLACES = ("above_base", "below_top", "from_near")
"""Where a code stands on its face: one of them says it, so they come from one source."""
_FIELD_OF = MappingProxyType({"mass_kg": "mass"})
"""Columns whose field goes by another name; the survey gives no value for all rows of these."""
_NUMBERS = tuple(
    column.name
    for column in fields(ProductTable)
    if column.name not in _TEXTS and not column.name.endswith("_plus_minus")
)


@dataclass(frozen=True)
class Filled:
    """Every column of the table for every row that was looked at, refused ones among them. A value that
    is the same for all rows is kept once."""

    numbers: Mapping[str, Floats]
    choices: Mapping[str, NDArray[np.str_]]
    notes: tuple[str, ...]


def fill(
    count: int, settled: Mapping[str, Settled], choices: Mapping[str, Sequence[str]], defaults: Product
) -> Filled:
    """The list's values, and `defaults` where it has none; of its sizes only the plus-minus is used."""
    usual = number_row(defaults)
    numbers: dict[str, Floats] = {}
    notes: list[str] = []
    for name in _NUMBERS:
        column = settled.get(_FIELD_OF.get(name, name))
        absent = column.marks & EMPTY != 0 if column else None
        if column is not None and absent is not None:
            values = column.values
            if name not in SIZES and name not in _FIELD_OF and absent.any():
                notes.append(
                    f"{int(absent.sum())} rows give no {name.replace('_', ' ')}: the survey's is used"
                )
                values = np.where(absent, usual[name], values)
            numbers[name] = values
        else:
            numbers[name] = _same(usual[name], count)
        if name in MEASURED:
            off = usual[f"{name}_plus_minus"]
            numbers[f"{name}_plus_minus"] = _plus_minus(column, off, count)
    _one_place(numbers, settled)
    texts: dict[str, NDArray[np.str_]] = {}
    for name, usual_word in (("against", defaults.against), ("face", defaults.code.face)):
        words = choices.get(name)
        texts[name] = _words(words, usual_word, count)
    return Filled(numbers, texts, tuple(notes))


def _same(value: float, count: int) -> Floats:
    return np.broadcast_to(np.float64(value), count)


def _plus_minus(column: Settled | None, usual: float, count: int) -> Floats:
    if column is None or not column.plus_minus.any():
        return _same(usual, count)
    return np.where(column.plus_minus > 0, column.plus_minus, usual)


def _one_place(numbers: dict[str, Floats], settled: Mapping[str, Settled]) -> None:
    """Rows that say themselves where the code stands do not get a second place from the defaults."""
    given = [settled[name].marks & EMPTY == 0 for name in _PLACES if name in settled]
    if not given:
        return
    own = np.logical_or.reduce(given)
    for name in _PLACES:
        alone = settled[name].values if name in settled else np.float64("nan")
        numbers[name] = np.where(own, alone, numbers[name])


def _words(words: Sequence[str] | None, usual: str, count: int) -> NDArray[np.str_]:
    if words is None:
        return np.broadcast_to(np.array(usual), count)
    return np.array([word or usual for word in words], dtype=np.str_)
