"""What the nozzle must reach: for each product the pose, the place and the span it may move in.

Everything downstream works in the *working view*: the line as seen when products run to +x. A line that
runs right to left is mirrored in x first (`working_view`), solved, and the made parts are mirrored back
at the very end, so there is one geometry and two hands of it.

The *column* is the row of nozzles; its middle is the point that is placed. A code shorter than the
column may be printed anywhere in it, so the middle may slide by half the difference.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from mountgen.catalogue.head_stack import HeadStack
from mountgen.catalogue.records import Head, PatternHole
from mountgen.survey.product_list.table import ProductTable
from mountgen.survey.records import Keepout, Survey

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
    envelope: Floats
    """z of the highest point, lid flaps and soft tops included: what must be kept clear."""
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
    changes: dict[str, object] = {**sides, **_mirrored_pattern(head.pattern)}
    if isinstance(head, HeadStack):
        changes["single"] = _mirrored_head(head.single)
    return head.model_copy(update=changes)


def near_sides(survey: Survey) -> Floats:
    """y of every product's near side, as measured or from the guide that positions it.

    Raises ValueError for a product that neither places.
    """
    products, guides = survey.products, survey.guides
    if guides is None:
        lost = np.flatnonzero(np.isnan(products.near_side_at))
        if lost.size:
            raise ValueError(f"nothing places product {products.names[lost[0]]!r} across the line")
        return products.near_side_at
    far = guides.far_y - products.width
    placed = np.select(
        [products.against == "near", products.against == "far"],
        [np.full(len(products), float(guides.near_y)), far],
        (guides.near_y + far) / 2,
    )
    result: Floats = np.where(np.isnan(products.near_side_at), placed, products.near_side_at)
    return result


def require(survey: Survey) -> Demand:
    """The demand of a survey in its working view."""
    products, standoff = survey.products, survey.standoff
    near, half = near_sides(survey), products.code_across / 2
    on_top = products.face == "top"
    low = np.where(on_top, near + products.from_near, _code_bottoms(products))
    return Demand(
        names=tuple(products.names.tolist()),
        tilt_deg=np.where(on_top, 90.0, 0.0),
        column_y=np.where(on_top, low + half, near - standoff.target),
        column_z=np.where(on_top, products.height + standoff.target, low + half),
        slide=survey.head.print_height / 2 - half,
        near_y=near,
        far_y=near + products.width,
        height=products.height,
        envelope=_envelopes(products),
        length=products.length,
        gap=products.gap,
        from_leading=products.from_leading,
        code_low=low,
    )


def _code_bottoms(products: ProductTable) -> Floats:
    """z of the lower edge of the codes on the near side."""
    from_top = products.height - products.below_top - products.code_across
    result: Floats = np.where(np.isnan(products.above_base), from_top, products.above_base)
    return result


def _envelopes(products: ProductTable) -> Floats:
    """z of the highest point of each product, lid flaps and soft tops included."""
    highest: Floats = np.fmax(products.height, products.clearance_height)
    return highest


def essential(demand: Demand) -> Demand:
    """The rows that decide a layout: of the products that ask for one and the same nozzle place, the
    highest. A long list of products seldom asks for many places."""
    keys = (demand.tilt_deg, demand.column_y, demand.column_z, demand.slide, demand.near_y)
    differing = [key for key in keys if np.ptp(key) > 0.0]
    order = np.lexsort((demand.envelope, *differing))
    last = np.ones(len(order), np.bool_)
    if len(order) > 1:
        steps = [np.diff(key[order]) != 0.0 for key in differing]
        last[:-1] = np.any(steps, axis=0) if steps else False
    return taken(demand, np.sort(order[last]))


def taken(demand: Demand, rows: NDArray[np.intp]) -> Demand:
    """Some rows of a demand, in the order given."""
    columns = {
        column.name: getattr(demand, column.name)[rows] for column in fields(demand) if column.name != "names"
    }
    return Demand(names=tuple(demand.names[row] for row in rows.tolist()), **columns)
