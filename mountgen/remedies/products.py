"""Levers on what is printed: where the code stands, how products lie, which of them are printed here."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from mountgen.checks.records import Check
from mountgen.demand import Floats
from mountgen.remedies.grading import COARSE, FINE, FINEST, MIDDLE, Number, graded, step_of
from mountgen.remedies.records import Lever, Trial
from mountgen.study import Study
from mountgen.survey.product_list.table import ProductTable
from mountgen.survey.records import Survey

SKEW_STEP = 0.1
FARTHEST_GAP = 1000.0
"""mm that products may be spaced further apart than now."""
LEAST_CODE = 5.0
"""mm; a code less tall is hardly read (common practice)."""
MOST_NAMES = 3
LEFT_OUT = 1.5
"""What leaving a product out costs beside other changes: it must be printed elsewhere."""


def columns(survey: Survey, **changed: np.ndarray) -> Survey:
    """The survey with other columns of its products."""
    return replace(survey, products=replace(survey.products, **changed))


def product_key(survey: Survey, name: str) -> str:
    return f"{'product' if survey.product_list is None else 'products'}.{name}"


def named(products: ProductTable, rows: NDArray[np.bool_]) -> str:
    """The names of some products, as they stand in a sentence."""
    names = [f"{name!r}" for name in products.names[rows][:MOST_NAMES]]
    more = int(rows.sum()) - len(names)
    return ", ".join(names) + (f" and {more} more" if more else "")


def _code_bottoms(products: ProductTable) -> Floats:
    from_top = products.height - products.below_top - products.code_across
    result: Floats = np.where(np.isnan(products.above_base), from_top, products.above_base)
    return result


def _with_bottoms(survey: Survey, bottoms: Floats) -> Survey:
    """Codes moved so that they begin at these heights, each by the key that its product uses."""
    products = survey.products
    given = np.isnan(products.above_base)
    return columns(
        survey,
        above_base=np.where(given, np.nan, bottoms),
        below_top=np.where(given, products.height - products.code_across - bottoms, np.nan),
    )


def _others(low: Floats, way: str) -> str:
    return "" if np.ptp(low) == 0.0 else f", and any other that is {way}"


def _upright(survey: Survey) -> bool:
    return bool((survey.products.face != "top").all())


def raise_codes(study: Study, _: Check) -> Iterator[Lever]:
    """No code begins lower than the new value; a code stays on its product."""
    survey, products = study.survey, study.survey.products
    if not _upright(survey):
        return
    low = _code_bottoms(products)
    key = "code.above_base" if np.isnan(products.below_top[low.argmin()]) else "code.below_top"
    room = float((products.height - products.code_across).min())
    step = step_of(MIDDLE, survey.units)
    number = Number(product_key(survey, key), "higher", float(low.min()), room, step)

    def change(value: float) -> Survey:
        return _with_bottoms(survey, np.maximum(low, value))

    lowest, others = named(products, low == low.min()), _others(low, "lower")

    def words(new: str, by: str) -> str:
        return f"raise the code of {lowest} to {new} above the conveying surface ({by} higher){others}"

    if room > number.old:
        yield from graded(number, words, change, survey.units)


def lower_codes(study: Study, _: Check) -> Iterator[Lever]:
    survey, products = study.survey, study.survey.products
    if not _upright(survey):
        return
    low = _code_bottoms(products)
    key = "code.above_base" if np.isnan(products.below_top[low.argmax()]) else "code.below_top"
    number = Number(product_key(survey, key), "lower", float(low.max()), 0.0, step_of(COARSE, survey.units))

    def change(value: float) -> Survey:
        return _with_bottoms(survey, np.minimum(low, value))

    highest, others = named(products, low == low.max()), _others(low, "higher")

    def words(new: str, by: str) -> str:
        return f"lower the code of {highest} to {new} above the conveying surface ({by} lower){others}"

    yield from graded(number, words, change, survey.units)


def nearer_codes(study: Study, _: Check) -> Iterator[Lever]:
    """Codes on the top begin no farther from the near side than the new value."""
    survey, products = study.survey, study.survey.products
    if _upright(survey):
        return
    old = products.from_near
    step = step_of(COARSE, survey.units)
    key = product_key(survey, "code.from_near")
    number = Number(key, "nearer", float(np.nanmax(old)), 0.0, step)
    yield from graded(
        number,
        lambda new, by: f"print at most {new} from the products' near side ({by} nearer)",
        lambda value: columns(survey, from_near=np.minimum(old, value)),
        survey.units,
    )
    number = Number(key, "farther", float(np.nanmin(old)), _room_across(products), step)
    if number.limit > number.old:
        yield from graded(
            number,
            lambda new, by: f"print at least {new} from the products' near side ({by} farther)",
            lambda value: columns(survey, from_near=np.maximum(old, value)),
            survey.units,
        )


def _room_across(products: ProductTable) -> float:
    return float((products.width - products.code_across).min())


def _capped(column: str, words: str, step: float) -> Callable[[Study, Check], Iterator[Lever]]:
    """A length of every product that shall not exceed the new value; down to none of it."""

    def levers(study: Study, _: Check) -> Iterator[Lever]:
        survey = study.survey
        old = getattr(survey.products, column)
        key = product_key(survey, column.replace("_plus_minus", ""))
        number = Number(key, column, float(np.nanmax(old)), 0.0, step_of(step, survey.units))
        if np.isnan(number.old) or number.old <= 0.0:
            return
        yield from graded(
            number,
            lambda new, by: f"{words} {new} ({by} less)",
            lambda value: columns(survey, **{column: np.minimum(old, value)}),
            survey.units,
        )

    return levers


less_bulge = _capped("bulge", "keep the printed faces flat to within", FINEST)
closer_widths = _capped("width_plus_minus", "keep the products' widths within +/-", FINEST)
closer_heights = _capped("height_plus_minus", "keep the products' heights within +/-", FINEST)
closer_places = _capped(
    "near_side_at_plus_minus", "guide the products so that they keep their place +/-", FINEST
)
sooner_codes = _capped("from_leading", "begin the codes behind the products' leading edge by at most", COARSE)


def less_skew(study: Study, _: Check) -> Iterator[Lever]:
    survey, old = study.survey, study.survey.products.skew_deg
    number = Number(product_key(survey, "skew_deg"), "less", float(old.max()), 0.0, SKEW_STEP, "deg")
    yield from graded(
        number,
        lambda new, by: f"guide the products so that they turn by no more than {new} ({by} less)",
        lambda value: columns(survey, skew_deg=np.minimum(old, value)),
        survey.units,
    )


def wider_gaps(study: Study, _: Check) -> Iterator[Lever]:
    survey, old = study.survey, study.survey.products.gap
    least = float(old.min())
    step = step_of(COARSE, survey.units)
    number = Number(product_key(survey, "gap"), "wider", least, least + FARTHEST_GAP, step)
    yield from graded(
        number,
        lambda new, by: f"space the products {new} apart at least ({by} more)",
        lambda value: columns(survey, gap=np.maximum(old, value)),
        survey.units,
    )


def smaller_codes(study: Study, _: Check) -> Iterator[Lever]:
    survey, old = study.survey, study.survey.products.code_across
    tallest = float(old.max())
    step = step_of(FINE, survey.units)
    number = Number(product_key(survey, "code.size"), "less tall", tallest, LEAST_CODE, step)
    if tallest > LEAST_CODE:
        yield from graded(
            number,
            lambda new, by: f"print codes no taller than {new} ({by} less)",
            lambda value: columns(survey, code_across=np.minimum(old, value)),
            survey.units,
        )


def flatter_tops(study: Study, _: Check) -> Iterator[Lever]:
    """Flaps and soft tops held down, at most to the products' own height."""
    survey, products = study.survey, study.survey.products
    highest = products.clearance_height
    if np.isnan(highest).all():
        return
    tallest = float(np.nanmax(highest))
    step = step_of(COARSE, survey.units)
    number = Number(
        product_key(survey, "clearance_height"), "lower", tallest, float(products.height.min()), step
    )
    yield from graded(
        number,
        lambda new, by: f"hold flaps and tops down to {new} above the conveying surface ({by} lower)",
        lambda value: columns(
            survey, clearance_height=np.maximum(np.minimum(highest, value), products.height)
        ),
        survey.units,
    )


def leave_out(study: Study, check: Check) -> Iterator[Lever]:
    """The product that the check names is printed elsewhere."""
    products = study.survey.products
    told = set(re.findall(r"'([^']*)'", check.title))
    rows = np.array([name in told for name in products.names.tolist()], dtype=np.bool_)
    if not rows.any() or rows.all():
        return

    def at(_: int) -> Trial:
        kept = ProductTable(
            **{name: getattr(products, name)[~rows] for name in products.__dataclass_fields__}
        )
        text = f"leave {named(products, rows)} out, to be printed elsewhere"
        return Trial(replace(study.survey, products=kept), text, float(rows.sum()), named(products, rows))

    yield Lever(
        product_key(study.survey, "name"), "left out", "products", 1.0, 1, at, graded=False, cost=LEFT_OUT
    )
