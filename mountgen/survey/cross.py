"""Checks between the keys of a survey: what each value allows the others to be.

They run on whatever could be read, so that a person sees these faults together with the misspelt ones;
a table that could not be read is None and its checks are left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from mountgen.catalogue.rail_section import rail_section
from mountgen.catalogue.rails import Rail
from mountgen.files.complaints import Complaint
from mountgen.files.places import KeyPath
from mountgen.survey.raw import RawCode, RawGuides, RawLine, RawProduct, RawRail, RawStandOff


@dataclass(frozen=True)
class Pieces:
    """The tables of one survey that could be read."""

    line: RawLine | None
    rail: RawRail | None
    profile: Rail | None
    guides: RawGuides | None
    has_guides: bool
    products: tuple[RawProduct | None, ...]
    standoff: RawStandOff | None


def cross_complaints(pieces: Pieces) -> list[Complaint]:
    """Everything that does not fit together."""
    found: list[Complaint] = []
    if pieces.line:
        found += _line(pieces.line)
    if pieces.rail:
        found += _rail(pieces.rail)
    if pieces.rail and pieces.profile:
        found += _rails_apart(pieces.rail, pieces.profile)
    if pieces.guides:
        found += _guides(pieces.guides)
        found += _play(pieces.guides, pieces.products)
    if pieces.standoff:
        found += _standoff(pieces.standoff)
    for number, product in enumerate(pieces.products):
        if product:
            found += _product(product, ("product", number), pieces)
    return [*found, *_products_together(pieces.products)]


def _line(line: RawLine) -> Iterator[Complaint]:
    if line.surface == "rollers" and line.roller_pitch is None:
        yield Complaint(
            ("line", "roller_pitch"),
            "no key 'roller_pitch' in [line], though surface is 'rollers'",
            "the distance from roller to roller",
            "add it",
        )
    if line.roller_pitch and line.roller_diameter and line.roller_diameter >= line.roller_pitch:
        yield _too_large("line", "roller_diameter", line.roller_diameter, "roller_pitch", line.roller_pitch)
    axle, roller = line.roller_axle_diameter, line.roller_diameter
    if axle and roller and axle >= roller:
        yield _too_large("line", "roller_axle_diameter", axle, "roller_diameter", roller)


def _rail(rail: RawRail) -> Iterator[Complaint]:
    if rail.free_from >= rail.free_to:
        yield _too_large("rail", "free_from", rail.free_from, "free_to", rail.free_to)


def _rails_apart(rail: RawRail, profile: Rail) -> Iterator[Complaint]:
    inner_face = _rail_reach(rail, profile)
    if rail.far_rail_at <= 2 * inner_face:
        yield Complaint(
            ("rail", "far_rail_at"),
            f"rail.far_rail_at is {rail.far_rail_at:g} mm, so the two rails overlap",
            f"more than {2 * inner_face:g} mm, twice what a rail takes up",
            "measure from the near rail's outer face to the far rail's",
        )


def _rail_reach(rail: RawRail, profile: Rail) -> float:
    """How far a rail reaches over the line, from its outer face."""
    return rail_section(profile, rail.opens).reach_in


def _guides(guides: RawGuides) -> Iterator[Complaint]:
    if guides.near_y >= guides.far_y:
        yield _too_large("guides", "near_y", guides.near_y, "far_y", guides.far_y)


def _play(guides: RawGuides, products: Iterable[RawProduct | None]) -> Iterator[Complaint]:
    """A product cannot wander farther than the guides leave it room."""
    if guides.play is None or guides.near_y >= guides.far_y:
        return
    widest = max(
        (product for product in products if product), key=lambda product: product.width, default=None
    )
    room = guides.far_y - guides.near_y - widest.width if widest else guides.far_y - guides.near_y
    if guides.play > room >= 0:
        yield Complaint(
            ("guides", "play"),
            f"guides.play is {guides.play:g} mm",
            f"at most {room:g} mm, the room between the guides"
            + (f" beside product '{widest.name}'" if widest else ""),
            "measure how far a product can be pushed off its guide",
        )


def _too_large(table: str, key: str, value: float, other: str, limit: float) -> Complaint:
    return Complaint(
        (table, key),
        f"{table}.{key} is {value:g} mm",
        f"less than {table}.{other}, {limit:g} mm",
        "correct one of the two",
    )


def _standoff(standoff: RawStandOff) -> Iterator[Complaint]:
    best, acceptable = standoff.best, standoff.acceptable
    if not acceptable[0] <= best[0] < best[1] <= acceptable[1]:
        yield Complaint(
            ("standoff", "best"),
            f"standoff.best is {best[0]:g} to {best[1]:g} mm",
            f"a band inside standoff.acceptable, {acceptable[0]:g} to {acceptable[1]:g} mm",
            "narrow best or widen acceptable",
        )
    if not best[0] <= standoff.target <= best[1]:
        yield Complaint(
            ("standoff", "target"),
            f"standoff.target is {standoff.target:g} mm",
            f"a distance inside standoff.best, {best[0]:g} to {best[1]:g} mm",
            "move the target into the best band",
        )


def _product(product: RawProduct, path: KeyPath, pieces: Pieces) -> Iterator[Complaint]:
    yield from _placing(product, path, has_guides=pieces.has_guides)
    yield from _room(product, path, pieces)
    yield from _highest_point(product, path)
    yield from _code_keys(product.code, (*path, "code"))
    yield from _code_fits(product, (*path, "code"))


def _placing(product: RawProduct, path: KeyPath, *, has_guides: bool) -> Iterator[Complaint]:
    """Something must say where the product runs across the line."""
    if has_guides and product.against is None and product.near_side_at is None:
        yield Complaint(
            (*path, "against"),
            f"no key 'against' for product '{product.name}'",
            "the guide that places it: near, far or centre",
            "add it",
        )
    if not has_guides and product.near_side_at is None:
        yield Complaint(
            (*path, "near_side_at"),
            f"no [guides], and no key 'near_side_at' for product '{product.name}'",
            "y of its near side, from the near rail's outer face",
            "add it, or add [guides]",
        )


def _highest_point(product: RawProduct, path: KeyPath) -> Iterator[Complaint]:
    if product.clearance_height is not None and product.clearance_height < product.height:
        yield Complaint(
            (*path, "clearance_height"),
            f"clearance_height of product '{product.name}' is {product.clearance_height:g} mm",
            f"at least its height, {product.height:g} mm",
            "measure its highest point over the conveying surface, or leave the key out",
        )


def _room(product: RawProduct, path: KeyPath, pieces: Pieces) -> Iterator[Complaint]:
    """The product must fit between guides, or between rails that stand above the conveying surface."""
    for name, low, high in _limits(pieces):
        if product.width > high - low:
            yield Complaint(
                (*path, "width"),
                f"product '{product.name}' is {product.width:g} mm wide",
                f"at most {high - low:g} mm, the space between the {name}",
                f"measure the product's width and the {name} again",
            )
        elif product.near_side_at is not None and not (low <= product.near_side_at <= high - product.width):
            yield Complaint(
                (*path, "near_side_at"),
                f"product '{product.name}' runs from y = {product.near_side_at:g} mm "
                f"to {product.near_side_at + product.width:g} mm",
                f"a place between the {name}, {low:g} mm to {high:g} mm",
                "correct near_side_at or the width",
            )


def _limits(pieces: Pieces) -> Iterator[tuple[str, float, float]]:
    guides, rail, profile = pieces.guides, pieces.rail, pieces.profile
    if guides and guides.near_y < guides.far_y:
        yield "guides", guides.near_y, guides.far_y
    if rail and profile:
        reach = _rail_reach(rail, profile)
        if rail.far_rail_at > 2 * reach:
            over = reach if rail.top_above_surface > 0 else 0.0
            yield "rails", over, rail.far_rail_at - over


def _code_keys(code: RawCode, path: KeyPath) -> Iterator[Complaint]:
    """Each face has its own keys that say where the code stands on it."""
    heights = [key for key in ("above_base", "below_top") if getattr(code, key) is not None]
    if code.face == "top":
        if code.from_near is None:
            yield Complaint(
                (*path, "from_near"),
                "no key 'from_near' for a code on the top",
                "the distance from the product's near side to the code",
                "add it",
            )
        yield from (_wrong_face(key, code, path) for key in heights)
        return
    if len(heights) != 1:
        yield Complaint(
            (*path, *heights[1:]),
            f"{' and '.join(heights) or 'neither above_base nor below_top'} for a code on the near side",
            "exactly one of above_base and below_top",
            "leave one out" if heights else "add one",
            "key",
        )
    if code.from_near is not None:
        yield _wrong_face("from_near", code, path)


def _wrong_face(key: str, code: RawCode, path: KeyPath) -> Complaint:
    fitting = "from_near" if code.face == "top" else "above_base or below_top"
    return Complaint(
        (*path, key),
        f"'{key}' for a code on the {code.face}",
        fitting,
        f"leave '{key}' out, or change face",
        "key",
    )


def _code_fits(product: RawProduct, path: KeyPath) -> Iterator[Complaint]:
    """The whole code lies on the product."""
    code = product.code
    along, across = code.size
    runs = [
        ("from_leading", code.from_leading, along, "length", product.length),
        ("above_base", code.above_base, across, "height", product.height),
        ("below_top", code.below_top, across, "height", product.height),
        ("from_near", code.from_near, across, "width", product.width),
    ]
    for key, start, size, side, room in runs:
        if start is not None and start + size > room:
            yield Complaint(
                (*path, key),
                f"the code of product '{product.name}' ends at {start:g} + {size:g} = {start + size:g} mm",
                f"at most the product's {side}, {room:g} mm",
                f"lower '{key}' to {max(room - size, 0):g} mm or make the code smaller",
            )


def _products_together(products: Iterable[RawProduct | None]) -> Iterator[Complaint]:
    """Names must differ, and one mount prints one face."""
    numbered = [(number, product) for number, product in enumerate(products) if product]
    names: dict[str, int] = {}
    for number, product in numbered:
        first = names.setdefault(product.name.casefold(), number)
        if first != number:
            yield Complaint(
                ("product", number, "name"),
                f"product[{number + 1}] is named '{product.name}', as product[{first + 1}] is",
                "a name of its own for each product",
                "rename one of them",
            )
    for number, product in numbered[1:]:
        face, other = product.code.face, numbered[0][1].code.face
        if face != other:
            yield Complaint(
                ("product", number, "code", "face"),
                f"product '{product.name}' is printed on the {face}, "
                f"product '{numbered[0][1].name}' on the {other}",
                "the same face for every product of one survey, for now",
                "split the survey in two, one for each face",
            )
