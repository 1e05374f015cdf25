"""What the tests of product lists share: a product that fills up, and ways to read a list from bytes."""

from io import BytesIO
from pathlib import Path

import pytest
import xlsxwriter

from mountgen.errors import SurveyError
from mountgen.survey.product_list.reader import read_products
from mountgen.survey.product_list.records import ListOptions, ProductList
from mountgen.survey.records import Code, Product
from mountgen.units import Measured

DEFAULTS = Product(
    name="default",
    length=Measured(1.0, 0.5),
    width=Measured(1.0),
    height=Measured(1.0),
    against="near",
    gap=250.0,
    code=Code("near_side", (0.1, 0.1), 0.0, above_base=0.0),
    bulge=1.5,
    skew_deg=0.5,
)


def read_bytes(folder: Path, content: bytes, name: str = "list.csv", **options: object) -> ProductList:
    path = folder / name
    path.write_bytes(content)
    return read_products(path, DEFAULTS, ListOptions(**({"units": "mm"} | options)))  # type: ignore[arg-type]


def read_text(folder: Path, text: str, **options: object) -> ProductList:
    return read_bytes(folder, text.encode(), **options)


def refusal(folder: Path, content: bytes | str, name: str = "list.csv", **options: object) -> str:
    source = content.encode() if isinstance(content, str) else content
    with pytest.raises(SurveyError) as caught:
        read_bytes(folder, source, name, **options)
    return str(caught.value)


def sizes(read: ProductList) -> dict[str, tuple[float, float, float, float]]:
    return {
        product.name: (float(product.length), float(product.width), float(product.height), product.gap)
        for product in read.table
    }


def reasons(read: ProductList) -> dict[int, str]:
    return {refused.row_number: refused.reason for refused in read.refused}


def workbook(fill, name: str = "list") -> bytes:
    """The bytes of a spreadsheet whose first sheet `fill(book, sheet)` writes."""
    target = BytesIO()
    with xlsxwriter.Workbook(target, {"in_memory": True}) as book:
        fill(book, book.add_worksheet(name))
    return target.getvalue()
