"""What the nozzle must reach: for each product the pose, the place and the span it may move in.

Everything downstream works in the *working view*: the line as seen when products run to +x. A line that
runs right to left is mirrored in x first (`working_view`), solved, and the made parts are mirrored back
at the very end, so there is one geometry and two hands of it.

The *column* is the row of nozzles; its middle is the point that is placed. A code shorter than the
column may be printed anywhere in it, so the middle may slide by half the difference.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from mountgen.catalogue.records import Head, PatternHole
from mountgen.survey.records import Keepout, Product, Survey

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Demand:
    """One row a product, working view, mm and degrees.

    `column_y`, `column_z` is the middle of the column with the code in its middle; `slide` is how far
    it may move along the column, either way, and still print the whole code. `near_y` and `far_y` are
    the product's sides.
    """

    names: tuple[str, ...]
    tilt_deg: Floats
    column_y: Floats
    column_z: Floats
    slide: Floats
    near_y: Floats
    far_y: Floats
    height: Floats
    length: Floats
    gap: Floats
    from_leading: Floats
    code_low: Floats
    """Where the code begins along the column: z of its lower edge, or y of its near edge."""


def working_view(survey: Survey) -> Survey:
    """The survey as it looks when products run to +x: itself, or its mirror image in x = 0.

    Bought parts cannot be mirrored; what is mirrored here is where their features sit seen from the
    working view, so that in the end the real part fits its holes. A photo-eye is its own mirror image:
    what holes it has run straight through it along x.
    """
    if survey.line.flow == "left_to_right":
        return survey
    line = replace(survey.line, first_roller_at=-survey.line.first_roller_at)
    rail = replace(
        survey.rail,
        free_from=-survey.rail.free_to,
        free_to=-survey.rail.free_from,
        keepouts=tuple(_mirrored_keepout(keepout) for keepout in survey.rail.keepouts),
    )
    guides = survey.guides
    if guides is not None and guides.open is not None:
        guides = replace(guides, open=(-guides.open[1], -guides.open[0]))
    encoder = survey.encoder
    return replace(
        survey,
        line=line,
        rail=rail,
        guides=guides,
        head=_mirrored_head(survey.head),
        encoder=encoder and encoder.model_copy(update=_mirrored_pattern(encoder.pattern)),
        controller=survey.controller.model_copy(update=_mirrored_pattern(survey.controller.pattern)),
    )


def _mirrored_keepout(keepout: Keepout) -> Keepout:
    return replace(keepout, x=(-keepout.x[1], -keepout.x[0]))


def _mirrored_pattern(pattern: tuple[PatternHole, ...]) -> dict[str, object]:
    flipped = [hole.model_copy(update={"at": (-hole.at[0], hole.at[1])}) for hole in pattern]
    return {"pattern": tuple(flipped)}


def _mirrored_head(head: Head) -> Head:
    sides = {"x_before": head.x_after, "x_after": head.x_before}
    return head.model_copy(update={**sides, **_mirrored_pattern(head.pattern)})


def near_side(survey: Survey, product: Product) -> float:
    """y of the product's near side, from the guide that positions it or as measured."""
    if product.near_side_at is not None:
        return product.near_side_at
    guides = survey.guides
    if guides is None:
        raise ValueError(f"nothing places product {product.name!r} across the line")
    if product.against == "near":
        return guides.near_y
    if product.against == "far":
        return guides.far_y - product.width
    return (guides.near_y + guides.far_y - product.width) / 2


def require(survey: Survey) -> Demand:
    """The demand of a survey in its working view."""
    rows = [_row(survey, product) for product in survey.products]
    columns = np.array(rows, dtype=np.float64).T
    return Demand(tuple(product.name for product in survey.products), *columns)


def _row(survey: Survey, product: Product) -> tuple[float, ...]:
    near, code = near_side(survey, product), product.code
    half = code.size[1] / 2
    if code.face == "top":
        assert code.from_near is not None
        tilt, low = 90.0, near + code.from_near
        y, z = low + half, product.height + survey.standoff.target
    else:
        tilt, low = 0.0, _code_bottom(product)
        y, z = near - survey.standoff.target, low + half
    slide = survey.head.print_height / 2 - half
    sides = (near, near + product.width, product.height, product.length, product.gap)
    return (tilt, y, z, slide, *sides, code.from_leading, low)


def _code_bottom(product: Product) -> float:
    code = product.code
    if code.above_base is not None:
        return code.above_base
    assert code.below_top is not None
    return product.height - code.below_top - code.size[1]
