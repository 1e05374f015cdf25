"""Lists of random products in random dialects: what was written comes back, in whatever order."""

import csv
import random
from io import StringIO

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from product_lists import read_bytes, read_text, sizes

from mountgen.units import read_length

FIXTURE = settings(
    max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
NAMES = st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "Zs")), min_size=1, max_size=12).map(
    lambda text: " ".join(["n", *text.split()])
)
SIZE = st.integers(10, 290_000).map(lambda hundredths: hundredths / 100)
PRODUCTS = st.lists(
    st.tuples(NAMES, SIZE, SIZE, SIZE, SIZE), min_size=1, max_size=12, unique_by=lambda row: row[0].casefold()
)


def _written(value: float, decimal: str, *, thousands: bool, unit: str) -> str:
    text = f"{value:,.2f}" if thousands else f"{value:.2f}"
    return (text if decimal == "." else text.translate(str.maketrans(",.", ".,"))) + unit


def _list(rows, dialect) -> str:
    target = StringIO()
    quoting = csv.QUOTE_ALL if dialect["quoted"] else csv.QUOTE_MINIMAL
    writer = csv.writer(
        target, delimiter=dialect["delimiter"], quoting=quoting, lineterminator=dialect["end"]
    )
    writer.writerow(["name", "length (mm)", "width (mm)", "height (mm)", "gap (mm)"])
    number = {"thousands": dialect["thousands"], "unit": dialect["unit"]}
    for name, *values in rows:
        writer.writerow([name, *(_written(value, dialect["decimal"], **number) for value in values)])
    return target.getvalue()


DIALECTS = st.fixed_dictionaries(
    {
        "delimiter": st.sampled_from(";,\t|"),
        "decimal": st.sampled_from(",."),
        "thousands": st.booleans(),
        "unit": st.sampled_from(["", " mm"]),
        "quoted": st.booleans(),
        "end": st.sampled_from(["\n", "\r\n"]),
    }
)


@FIXTURE
@given(PRODUCTS, DIALECTS, st.sampled_from(["utf-8", "utf-8-sig", "utf-16"]), st.randoms())
def test_what_was_written_comes_back_in_any_order(tmp_path, rows, dialect, encoding, order):
    expected = {name: tuple(values) for name, *values in rows}
    for _ in range(2):
        read = read_bytes(tmp_path, _list(rows, dialect).encode(encoding))
        assert sizes(read) == expected
        assert (read.rows_in_file, read.refused) == (len(rows), ())
        order.shuffle(rows)


CELLS = st.one_of(
    st.sampled_from(
        ["", "-", "0", "NaN", "1,250", "1.250", "12,5", "12.5", "1.299,99", "3 in", "2 1/4", "x", "-4", "1e3"]
    ),
    st.text("0123456789.,- e'\"/", max_size=7),
)


@FIXTURE
@given(st.lists(st.tuples(st.sampled_from("ABCDEFGHIJ"), CELLS, CELLS, CELLS), max_size=14), st.randoms())
def test_every_row_is_accounted_for_in_any_order(tmp_path, rows, order):
    results = []
    for _ in range(2):
        target = StringIO()
        csv.writer(target, delimiter=";").writerows(
            [("name", "l", "w", "h"), *rows, ("last", "10", "10", "10")]
        )
        read = read_text(tmp_path, target.getvalue())
        assert read.rows_read + len(read.refused) == read.rows_in_file == len(rows) + 1
        assert len(read.table) + read.rows_repeated == read.rows_read
        results.append(
            (sizes(read), sorted((refused.text, refused.reason.split(" (")[0]) for refused in read.refused))
        )
        order.shuffle(rows)
    assert results[0] == results[1]


@FIXTURE
@given(st.integers(1, 11_000), st.sampled_from(["in", '"', "cm", "ft", "mm"]))
def test_units_agree_with_the_survey_s_own_texts(tmp_path, hundredths, unit):
    text = f"{hundredths / 100:.2f} {unit}"
    expected = float(read_length(text, None))
    cell = text.replace('"', '""')
    read = read_text(tmp_path, f'name;l;w;h\nA;"{cell}";10;10\n')
    if 0.1 <= expected <= 3000:
        assert sizes(read)["A"][0] == pytest.approx(expected, rel=1e-15)
    else:
        assert len(read.refused) == 1


def test_fast_and_slow_ways_agree(tmp_path):
    """A column of plain numbers is read at once, one with a single odd cell in parts, one of texts singly."""
    draw = random.Random(3)
    values = [
        draw.choice((f"{draw.uniform(1, 900):.1f}", f"{draw.randint(1, 900)}", "0.125"))
        for _ in range(40_000)
    ]
    plain = "".join(f"P{at};{value};10;10\n" for at, value in enumerate(values))
    odd = plain.replace("P7;", "P7; +").replace(";10;10\nP9;", ";10;1 in\nP9;")
    texts = "".join(f"P{at};{value} mm;10 mm;10\n" for at, value in enumerate(values))
    lists = [read_text(tmp_path, "name;l;w;h\n" + text).table for text in (plain, odd, texts)]
    assert lists[0].length.tolist() == [float(value) for value in values]
    assert all((table.length == lists[0].length).all() for table in lists)
    assert lists[1].height[8] == 25.4
