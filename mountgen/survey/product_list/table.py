"""Many products as arrays: one row a product, in mm, degrees and kg, never changed after it was made.

Where a product has no such value (`near_side_at`, `mass_kg`, and the places of a code that its face does
not use), the array holds nan and the record None. `..._plus_minus` is how far the value may be off.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from mountgen.survey.records import Against, Code, Face, Product
from mountgen.units import Measured

Floats = NDArray[np.float64]

_MEASURED_OF_PRODUCT = ("length", "width", "height", "gap", "near_side_at")
_MEASURED_OF_CODE = ("from_leading", "above_base", "below_top", "from_near")
MEASURED = (*_MEASURED_OF_PRODUCT, *_MEASURED_OF_CODE)
"""Columns with a second one for how far they may be off."""
_OF_PRODUCT = ("bulge", "skew_deg", "clearance_height", "mass_kg")


@dataclass(frozen=True, eq=False)
class ProductTable:
    """One row a product; every column is as long as `names` and cannot be written to."""

    names: NDArray[np.object_]
    length: Floats
    length_plus_minus: Floats
    width: Floats
    width_plus_minus: Floats
    height: Floats
    height_plus_minus: Floats
    against: NDArray[np.str_]
    gap: Floats
    gap_plus_minus: Floats
    face: NDArray[np.str_]
    code_along: Floats
    code_across: Floats
    from_leading: Floats
    from_leading_plus_minus: Floats
    above_base: Floats
    above_base_plus_minus: Floats
    below_top: Floats
    below_top_plus_minus: Floats
    from_near: Floats
    from_near_plus_minus: Floats
    near_side_at: Floats
    near_side_at_plus_minus: Floats
    bulge: Floats
    skew_deg: Floats
    clearance_height: Floats
    mass_kg: Floats

    def __post_init__(self) -> None:
        for column in fields(self):
            array = getattr(self, column.name)
            if array.shape != self.names.shape:
                raise ValueError(f"column {column.name} has shape {array.shape}, names {self.names.shape}")
            array.setflags(write=False)

    def __len__(self) -> int:
        return len(self.names)

    def __iter__(self) -> Iterator[Product]:
        return (self.row(at) for at in range(len(self)))

    def __getitem__(self, at: int) -> Product:
        return self.row(at)

    def row(self, at: int) -> Product:
        """The product in row `at`, from 0. Raises IndexError."""
        return Product(
            name=str(self.names[at]),
            length=self._measured("length", at),
            width=self._measured("width", at),
            height=self._measured("height", at),
            against=cast("Against", str(self.against[at])),
            gap=self._measured("gap", at),
            code=self._code(at),
            bulge=float(self.bulge[at]),
            skew_deg=float(self.skew_deg[at]),
            near_side_at=self._if_measured("near_side_at", at),
            clearance_height=_number_or_none(self.clearance_height[at]),
            mass_kg=_number_or_none(self.mass_kg[at]),
        )

    def _measured(self, column: str, at: int) -> Measured:
        return Measured(float(getattr(self, column)[at]), float(getattr(self, f"{column}_plus_minus")[at]))

    def _if_measured(self, column: str, at: int) -> Measured | None:
        value = self._measured(column, at)
        return None if np.isnan(value) else value

    def _code(self, at: int) -> Code:
        return Code(
            face=cast("Face", str(self.face[at])),
            size=(float(self.code_along[at]), float(self.code_across[at])),
            from_leading=self._measured("from_leading", at),
            above_base=self._if_measured("above_base", at),
            below_top=self._if_measured("below_top", at),
            from_near=self._if_measured("from_near", at),
        )

    @classmethod
    def of(cls, products: Sequence[Product]) -> ProductTable:
        """The table of these products, in their order."""
        columns: dict[str, Any] = {"names": np.empty(len(products), dtype=object)}
        columns["names"][:] = [product.name for product in products]
        columns["against"] = np.array([product.against for product in products], dtype=np.str_)
        columns["face"] = np.array([product.code.face for product in products], dtype=np.str_)
        rows = [number_row(product) for product in products]
        for column in fields(cls):
            if column.name not in columns:
                values = [row[column.name] for row in rows]
                columns[column.name] = np.array(values, dtype=np.float64)
        return cls(**columns)


def number_row(product: Product) -> dict[str, float]:
    """The product's numbers by the table's columns, nan for what it has not."""
    row = {name: _number_or_nan(getattr(product, name)) for name in _OF_PRODUCT}
    row["code_along"], row["code_across"] = product.code.size
    for part, names in ((product, _MEASURED_OF_PRODUCT), (product.code, _MEASURED_OF_CODE)):
        for name in names:
            value: Measured | float | None = getattr(part, name)
            row[name] = _number_or_nan(value)
            row[f"{name}_plus_minus"] = getattr(value, "plus_minus", 0.0)
    return row


def _number_or_nan(value: float | None) -> float:
    return float("nan") if value is None else float(value)


def _number_or_none(value: float) -> float | None:
    return None if np.isnan(value) else float(value)
