"""Surveys whose products come from a list."""

from pathlib import Path

import numpy as np
import pytest
from shops import SHOP

from mountgen.catalogue.reader import Catalogue
from mountgen.demand import essential, require, taken, working_view
from mountgen.errors import SurveyError
from mountgen.study import study
from mountgen.survey.reader import read_survey

CATALOGUE = Catalogue()
EXAMPLE = (Path(__file__).parents[1] / "profiles/surveys/seed-cartons.toml").read_text(encoding="utf-8")
PRODUCTS = """[products]
file = "list.csv"
gap = 250
against = "near"
bulge = 0.5
skew_deg = 0.5
[products.code]
face = "near_side"
size = [80, 12]
above_base = 32
from_leading = 40
"""
ROWS = "Artikel;L\u00e4nge (mm);Breite (mm);H\u00f6he (mm)\nA;300,5;200;150\nB;;200;150\nC;280;200;320\n"


def with_list(folder: Path, rows: str = ROWS, table: str = PRODUCTS) -> Path:
    """The carton survey with a list of products in place of its own."""
    start, end = EXAMPLE.index("[[product]]"), EXAMPLE.index("[standoff]")
    path = folder / "survey.toml"
    path.write_text(EXAMPLE[:start] + table + "\n" + EXAMPLE[end:], encoding="utf-8")
    (folder / "list.csv").write_text(rows, encoding="utf-8")
    return path


def faults(folder: Path, rows: str = ROWS, table: str = PRODUCTS) -> list[str]:
    with pytest.raises(SurveyError) as caught:
        read_survey(with_list(folder, rows, table), CATALOGUE)
    return [str(fault) for fault in caught.value.faults]


def test_rows_become_products_and_refused_ones_are_told(tmp_path: Path) -> None:
    survey = read_survey(with_list(tmp_path), CATALOGUE)
    assert survey.products.names.tolist() == ["A", "C"]
    assert survey.products.length.tolist() == [300.5, 280.0]
    assert survey.products.from_leading.tolist() == [40.0, 40.0]
    listed = survey.product_list
    assert listed is not None
    assert (listed.rows_in_file, listed.rows_read, len(listed.refused)) == (3, 2, 1)
    assert (listed.refused[0].row_number, listed.refused[0].text) == (3, "B")


def test_a_list_gives_the_mount_that_tables_give(tmp_path: Path) -> None:
    """The highest carton of the example as the list's only row."""
    rows = "name;length (mm);width (mm);height (mm)\nonly;440;340;320\n"
    made = study(read_survey(with_list(tmp_path, rows), CATALOGUE), CATALOGUE, SHOP)
    assert made.verdict == "feasible"
    assert made.scene.layout.settings.column_z.tolist() == [38.0]


def test_the_hash_changes_with_the_list(tmp_path: Path) -> None:
    one = read_survey(with_list(tmp_path), CATALOGUE).source_sha256
    other = read_survey(with_list(tmp_path, ROWS + "D;290;200;110\n"), CATALOGUE).source_sha256
    assert one != other


def test_tables_and_a_list_exclude_each_other(tmp_path: Path) -> None:
    start = EXAMPLE.index("[standoff]")
    path = tmp_path / "survey.toml"
    path.write_text(EXAMPLE[:start] + PRODUCTS + EXAMPLE[start:], encoding="utf-8")
    with pytest.raises(SurveyError, match=r"both \[\[product\]\] and \[products\]"):
        read_survey(path, CATALOGUE)


def test_a_list_without_its_common_keys(tmp_path: Path) -> None:
    found = faults(tmp_path, table="[products]\n")
    assert [word for word in ("file", "gap", "code") if any(f"'{word}'" in fault for fault in found)] == [
        "file",
        "gap",
        "code",
    ]


@pytest.mark.parametrize(
    ("rows", "table", "told"),
    [
        ("name;length (mm);width (mm);height (mm)\nA;;1;1\n", PRODUCTS, "none of its 1 rows"),
        (
            "name;length (mm);width (mm);height (mm);face;from_near (mm);above_base (mm)\n"
            "A;300;200;150;top;20;\nB;300;200;150;near side;;32\n",
            PRODUCTS,
            "different faces",
        ),
        (ROWS, PRODUCTS.replace('"list.csv"', '"nowhere.csv"'), "there is no such file"),
        (ROWS, PRODUCTS.replace("gap", "delimiter = ';;'\ngap"), "';;'"),
        (ROWS, PRODUCTS.replace("gap", "encoding = 'utf-81'\ngap"), "'utf-81'"),
    ],
)
def test_lists_that_cannot_be_used(tmp_path: Path, rows: str, table: str, told: str) -> None:
    assert any(told in fault for fault in faults(tmp_path, rows, table))


def test_essential_rows_keep_the_highest_of_every_place(tmp_path: Path) -> None:
    """Three places across the line, heights between them: the layout sees one row a place."""
    rows = ["name;length (mm);width (mm);height (mm);near_side_at (mm)"]
    rows += [f"P{k};300;200;{110 + 7 * k % 200};{(80, 90, 100)[k % 3]}" for k in range(60)]
    survey = working_view(read_survey(with_list(tmp_path, "\n".join(rows) + "\n"), CATALOGUE))
    demand = require(survey)
    kept = essential(demand)
    assert sorted(kept.near_y.tolist()) == [80.0, 90.0, 100.0]
    for place in (80.0, 90.0, 100.0):
        highest = demand.envelope[demand.near_y == place].max()
        assert kept.envelope[kept.near_y == place].tolist() == [highest]
    again = taken(demand, np.arange(len(demand.names)))
    assert again.names == demand.names


def test_an_uncertainty_is_kept_wherever_a_product_has_one(tmp_path: Path) -> None:
    text = EXAMPLE.replace("gap = 250", 'gap = "250 +/- 5 mm"', 1)
    text = text.replace("above_base = 32 ", 'above_base = "32 +/- 3 mm" ', 1)
    text = text.replace("from_leading = 40", 'from_leading = "40 +/- 2 mm"', 1)
    path = tmp_path / "survey.toml"
    path.write_text(text, encoding="utf-8")
    product = read_survey(path, CATALOGUE).products[0]
    measured = (product.gap, product.code.above_base, product.code.from_leading)
    assert [getattr(value, "plus_minus", None) for value in measured] == [5.0, 3.0, 2.0]
