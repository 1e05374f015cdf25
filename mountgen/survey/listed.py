"""Products from a list instead of tables: what the survey says of all of them, and what the list must hold.

`[products]` names the list and gives what its rows do not: the gap, where the code goes, how products are
placed. A row's own value goes before the survey's.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from mountgen.errors import Fault, SurveyError
from mountgen.survey.files import product_file
from mountgen.survey.product_list.reader import read_products
from mountgen.survey.product_list.records import ListOptions, ProductList
from mountgen.survey.raw import RawProducts
from mountgen.survey.records import Code, Product
from mountgen.units import Measured, System

SHOWN_REFUSALS = 3


def listed_products(
    raw: RawProducts, folder: Path, units: System | None, *, has_guides: bool, defaults: tuple[float, float]
) -> ProductList:
    """The list that the survey in `folder` names; `defaults` are bulge (mm) and skew (deg).

    Raises SurveyError for a list that cannot be read, that leaves no product, whose products are printed
    on different faces, or that nothing places across the line.
    """
    named = product_file(raw)
    options = ListOptions(
        columns=dict(named.mapping),
        units=named.units or units,
        delimiter=named.delimiter,
        encoding=named.encoding,
        sheet=named.sheet,
        decimal=raw.decimal,
    )
    path = folder / named.path
    products = read_products(path, _template(raw, defaults), options)
    if fault := _list_fault(str(path), products, has_guides=has_guides):
        raise SurveyError([fault])
    return products


def _template(raw: RawProducts, defaults: tuple[float, float]) -> Product:
    """What every row has unless it says otherwise; the name and the sizes are always the row's own."""
    code = raw.code
    return Product(
        name="",
        length=Measured(0.0),
        width=Measured(0.0),
        height=Measured(0.0, raw.height_plus_minus or 0.0),
        against=raw.against or "near",
        gap=raw.gap,
        code=Code(code.face, code.size, code.from_leading, code.above_base, code.below_top, code.from_near),
        bulge=defaults[0] if raw.bulge is None else raw.bulge,
        skew_deg=defaults[1] if raw.skew_deg is None else raw.skew_deg,
        near_side_at=raw.near_side_at,
    )


def _list_fault(where: str, products: ProductList, *, has_guides: bool) -> Fault | None:
    table = products.table
    if not len(table):
        rows = [f"row {r.row_number}: {r.reason}" for r in products.refused[:SHOWN_REFUSALS]]
        found = f"none of its {products.rows_in_file} rows can be used ({'; '.join(rows)})"
        return Fault(where, found, "at least one product", "mend the rows, or give a mapping of its columns")
    faces = np.unique(table.face).tolist()
    if len(faces) > 1:
        found = f"products are printed on different faces: {', '.join(faces)}"
        return Fault(where, found, "the same face for every product of one survey", "split the list by face")
    lost = np.flatnonzero(np.isnan(table.near_side_at))
    if not has_guides and lost.size:
        found = f"nothing places {lost.size} products across the line, {table.names[lost[0]]!r} first"
        action = "add near_side_at to [products]"
        return Fault(where, found, "guides, or y of each product's near side", action)
    return None
