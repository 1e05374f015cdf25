"""The other files that a survey may name: a drawn rail instead of a profile, a list of products, a spectrum.

They are looked at as they stand in the file, so that a missing or doubled one is found even when its table
holds another fault.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from mountgen.files.complaints import Complaint, keys_of, nearest
from mountgen.survey.raw import RawProducts, RawRail, RawSurvey
from mountgen.survey.records import ProductFile, RailFile
from mountgen.units import quoted

NAMED = (("rail", "file"), ("products", "file"), ("shaking", "spectrum"))
"""Where a survey names other files."""
_DRAWING_KEYS = ("units", "loop", "layer")


@dataclass(frozen=True)
class Beside:
    """The folder of the files that a survey names; `names` are those that it may name, None for any."""

    folder: Path
    names: frozenset[str] | None = None

    def has(self, name: str) -> bool:
        return self.names is None or name in self.names


def rail_file(rail: RawRail) -> RailFile | None:
    """The drawing that the survey names instead of a profile."""
    return RailFile(rail.file, rail.units, rail.loop, rail.layer) if rail.file else None


def product_file(products: RawProducts) -> ProductFile:
    """The list of products that the survey names."""
    return ProductFile(
        path=products.file,
        mapping=tuple(products.mapping.items()),
        delimiter=products.delimiter,
        encoding=products.encoding,
        sheet=products.sheet,
        units=products.units,
    )


def file_complaints(data: dict[str, Any], beside: Beside) -> list[Complaint]:
    """What is missing or doubled, and files that may not be read."""
    rail = data.get("rail")
    found = list(_rail(rail)) if isinstance(rail, dict) else []
    return [*found, *_products(data), *_shaking(data.get("shaking")), *_withheld(data, beside)]


def _withheld(data: dict[str, Any], beside: Beside) -> Iterator[Complaint]:
    """Files that the survey names though they did not come with it."""
    for table, key in NAMED:
        name = data[table].get(key) if isinstance(data.get(table), dict) else None
        if isinstance(name, str) and not beside.has(name):
            sent = ", ".join(sorted(beside.names or ())) or "none came"
            expected = f"a file that came with the survey ({sent})"
            found = f"{table}.{key} is {quoted(name)}, which did not come with the survey"
            yield Complaint((table, key), found, expected, "add the file, or leave the key out")


def _rail(rail: dict[str, Any]) -> Iterator[Complaint]:
    """Exactly one of profile and file; how to read a drawing only with one."""
    if "file" in rail and "profile" in rail:
        yield Complaint(
            ("rail", "file"),
            "both profile and file in [rail]",
            "the name of a profile, or the file of a drawn one",
            "leave one out",
            "key",
        )
    elif (
        "file" not in rail
        and "profile" not in rail
        and not _misspelt(rail, keys_of(RawRail), ("profile", "file"))
    ):
        yield Complaint(
            ("rail", "profile"),
            "no key 'profile' in [rail]",
            "the name of a rail profile in profiles/rails, or a drawing: file = ...",
            "add it",
        )
    if "file" not in rail:
        yield from (_without_drawing(key) for key in _DRAWING_KEYS if key in rail)


def _without_drawing(key: str) -> Complaint:
    expected = "it beside file, the drawing that it tells how to read"
    return Complaint(("rail", key), f"'{key}' in [rail] without file", expected, "leave it out", "key")


def _products(data: dict[str, Any]) -> Iterator[Complaint]:
    """Either tables of products or a list of them."""
    if isinstance(data.get("products"), dict) and data.get("product"):
        expected = "tables [[product]], or a list: [products] file = ..."
        yield Complaint(("products",), "both [[product]] and [products]", expected, "leave one out", "key")
        return
    named = "products" in data or data.get("product")
    if not named and not _misspelt(data, keys_of(RawSurvey), ("product", "products")):
        found = "no product" if "product" in data else "no key 'product' at the top of the file"
        yield Complaint(("product",), found, "at least one table [[product]]", "add it")


def _shaking(shaking: object) -> Iterator[Complaint]:
    """One measurement of how the line shakes, not two."""
    if isinstance(shaking, dict) and "rms" in shaking and "spectrum" in shaking:
        expected = "an acceleration, or the file of a spectrum"
        found = "both rms and spectrum in [shaking]"
        yield Complaint(("shaking", "spectrum"), found, expected, "leave one out", "key")


def _misspelt(table: dict[str, Any], keys: list[str], wanted: tuple[str, ...]) -> bool:
    return any(nearest(key, keys) in wanted for key in table if key not in keys)
