"""A press brake's table as CSV: what is read, and every fault with its line."""

import math
import re

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from test_shop_reader import SHOP as SHOP_TEXT

from mountgen.errors import ShopError
from mountgen.mechanics.bending import Din6935, bend_deduction
from mountgen.mechanics.brake_table import BrakeRow
from mountgen.shop.brake_file import BRAKE_TABLE, COLUMNS, MOST_FAULTS, read_brake_table
from mountgen.shop.reader import read_shop

DIES = (16.0, 24.0)
SQUARE = "steel-s235, 3 mm, inside radius 3 mm, 90 deg"
TABLE = """\
material,thickness,inside radius,angle,deduction,die
steel-s235,3,3,90,5.5,24
steel-s235,3,3,45,1.8,24
steel-s235,2,2,90,3.7,
stainless-1.4301,3,3,90,5.8,24
"""


def read(folder, text, encoding="utf-8"):
    path = folder / "bends.csv"
    path.write_bytes(text.encode(encoding))
    return read_brake_table(path, DIES)


def faults_of(folder, text):
    with pytest.raises(ShopError) as refused:
        read(folder, text)
    return [
        f"{re.sub('.*bends.csv', '', f.where)} {f.found}; {f.expected}; {f.action}"
        for f in refused.value.faults
    ]


def test_a_table_by_material(tmp_path):
    tables = read(tmp_path, TABLE)
    assert tables["steel-s235"].rows == (
        BrakeRow("steel-s235", 3.0, 3.0, 90.0, 5.5, 24.0),
        BrakeRow("steel-s235", 3.0, 3.0, 45.0, 1.8, 24.0),
        BrakeRow("steel-s235", 2.0, 2.0, 90.0, 3.7, None),
    )
    assert tables["stainless-1.4301"].rows == (BrakeRow("stainless-1.4301", 3.0, 3.0, 90.0, 5.8, 24.0),)
    assert tables["steel-s235"].title == "bend table bends.csv"


@pytest.mark.parametrize(
    "text",
    [
        "\ufeff" + TABLE,
        TABLE.replace("\n", "\r\n"),
        "# measured on brake 1\n\n" + TABLE.replace("\nstain", "\n\n# other sheet\nstain"),
        TABLE.replace(",", ";").replace("5.5", "5,5").replace("1.8", "1,800"),
        TABLE.replace(",", "\t").replace("5.5", "5,5"),
        TABLE.replace("thickness", "Thickness [mm]").replace("inside radius", "Inside_radius (mm)"),
        TABLE.replace("angle", "ANGLE [deg]").replace(",90,", ",90 deg,"),
        TABLE.replace("deduction", "deduction [mm]").replace("5.5", '"5.5 mm"'),
    ],
)
def test_the_same_table_written_otherwise(tmp_path, text):
    assert read(tmp_path, text) == read(tmp_path, TABLE)


def test_inches(tmp_path):
    text = "material,thickness [in],inside radius [in],angle,deduction [in]\ns,1/8,0.125,90,0.225\n"
    assert read(tmp_path, text)["s"].rows == (BrakeRow("s", 3.175, 3.175, 90.0, pytest.approx(5.715)),)


def test_din_6935_written_as_a_table_gives_its_published_deduction(tmp_path):
    """DIN 6935 at 90 deg, s 2, r 2: 3.837 mm; evaluated by hand in test_bending_published."""
    text = "material;thickness;inside radius;angle;deduction\ns;2;2;90;3,837\n"
    table = read(tmp_path, text)["s"]
    assert bend_deduction(table, 2, 2, 90) == pytest.approx(3.837)
    assert table.allowance(2, 2, 90) == pytest.approx(Din6935().allowance(2, 2, 90), abs=0.001)


def test_faa_channel_as_a_table(tmp_path):
    """FAA-H-8083-31 ch. 4: T .040, R .16 at 90 deg: setback 0.200, allowance 0.279 in (from memory), so the
    deduction is 0.121 in and the channel 1.00 / 2.00 / 1.00 is 3.758 in wide when flat."""
    text = "material,thickness [in],inside radius [in],angle,deduction [in]\nal,.040,.16,90,.121\n"
    table = read(tmp_path, text)["al"]
    assert table.allowance(0.040 * 25.4, 0.16 * 25.4, 90) / 25.4 == pytest.approx(0.279, abs=1e-6)
    assert 4.0 - 2 * bend_deduction(table, 0.040 * 25.4, 0.16 * 25.4, 90) / 25.4 == pytest.approx(3.758)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("inside radius", "radius inside", ":1 a column 'radius inside'; one of material,"),
        (",deduction", ",deducton", ":1 a column 'deducton'; one of " + ", ".join(COLUMNS)
         + "; did you mean 'deduction'?"),
        ("angle,deduction", "angle,angle", ":1 two columns 'angle'; each column once; take one out"),
        ("thickness", "thickness [deg]", ":1 a column 'thickness [deg]'; mm or in; correct the unit"),
        ("angle", "angle [mm]", ":1 a column 'angle [mm]'; deg; correct the unit"),
        ("5.5", "five", ":2 deduction is 'five'; a length such as"),
        ("5.5", "-5.5", ":2 deduction is '-5.5', which is or may be below zero;"),
        ("5.5", "5.5 +/- 0.1", ":2 deduction is '5.5 +/- 0.1', with +/-; a length without"),
        ("5.5", "0", ":2 deduction is '0', which is 0 mm; more than 0 and at most 1000 mm; correct it"),
        ("5.5", "", ":2 no deduction; a number in every column but die;"),
        ("5.5", "nan", ":2 deduction is 'nan';"),
        ("5.5,24", "5,5,24", ":2 7 cells; 6, as the header has; write them all; where commas divide"),
        ("3,3,45", "3,3,180", ":3 angle is '180', which is 180 deg; more than 0 and at most 179 deg;"),
        ("3,3,45,1.8", "3,3,45,0.1", f":3 a deduction of 0.1 mm for {SQUARE[:-6]}45 deg; 0.26 to 4.97 mm:"),
        ("3,3,45,1.8", "3,3,45,4.98", ":3 a deduction of 4.98 mm for steel-s235"),
        ("5.5,24", "5.5,25", ":2 a die of 25 mm; one of the shop's dies: 16, 24 mm; write 24, or add 25"),
        ("1.8,24", "1.8,16", ":3 die 16 mm, and 24 mm in line 2; one die for a sheet and a radius;"),
        ("3,3,45,1.8", "3,3,90,5.5", f":3 the row of line 2 again ({SQUARE});"),
        ("3,3,45,1.8", "3,3,90,5.6", f":3 deduction 5.6 mm for {SQUARE}, and 5.5 mm in line 2; "
         "one row for a bend; keep the one that is right"),
        ("3,3,45,1.8", "3,3,89,1.6", f":2 {SQUARE} takes up less sheet than 89 deg in line 3;"),
        ("stainless-1.4301", "", ":5 material ''; a material's name; write it"),
        ("steel-s235,2", '"steel-s235,2', ":4 a row cannot be divided into cells: unexpected end of data;"),
    ],
)  # fmt: skip
def test_every_fault_has_its_line(tmp_path, old, new, told):
    assert TABLE.count(old) == 1
    assert faults_of(tmp_path, TABLE.replace(old, new))[0].startswith(told)


def test_missing_columns_are_told_together(tmp_path):
    assert [fault.split(";")[0] for fault in faults_of(tmp_path, "material,angle\ns,90\n")] == [
        ":1 no column 'thickness'",
        ":1 no column 'inside radius'",
        ":1 no column 'deduction'",
    ]


@pytest.mark.parametrize("text", ["", "\n\n", "# nothing\n", "\ufeff"])
def test_an_empty_file(tmp_path, text):
    assert faults_of(tmp_path, text)[0].startswith(" the file is empty; a header with material,")


def test_a_header_alone(tmp_path):
    assert faults_of(tmp_path, ",".join(COLUMNS))[0].startswith(" no row below the header;")


def test_all_faults_in_the_order_of_the_lines(tmp_path):
    text = TABLE.replace("5.5", "x").replace("5.8", "y").replace("1.8", "-1")
    assert [fault.split()[0] for fault in faults_of(tmp_path, text)] == [":2", ":3", ":5"]


def test_only_the_first_faults_of_many(tmp_path):
    assert len(faults_of(tmp_path, TABLE + "steel-s235,x,3,90,5,\n" * 50)) == MOST_FAULTS


def test_what_is_no_text(tmp_path):
    path = tmp_path / "bends.csv"
    path.write_bytes(TABLE.encode() + b"\xff")
    with pytest.raises(ShopError, match=r"bends.csv:6:1: byte 0xff is not UTF-8"):
        read_brake_table(path, DIES)
    path.write_bytes(b"a" * (BRAKE_TABLE.most_bytes + 1))
    with pytest.raises(ShopError, match="longer than any bend table"):
        read_brake_table(path, DIES)


CELLS = st.sampled_from(
    ["steel-s235", "3", "3,5", "-1", "90", "1/8 in", '"', "", "nan", "1e9", "#", "24", "5.5"]
)
ROWS = st.lists(st.lists(CELLS, min_size=4, max_size=7).map(",".join), max_size=5).map("\n".join)


@given(text=st.one_of(st.text(max_size=200), ROWS.map(lambda rows: f"{','.join(COLUMNS)}\n{rows}")))
@example(text="material;thickness;inside radius;angle;deduction\ns;3;3;90;\x00")
@example(text="a" * 140_000)
def test_any_text_is_read_or_refused(tmp_path_factory, text):
    """Never another error; what is read bends sheet, and by less than the outer faces."""
    path = tmp_path_factory.getbasetemp() / "any.csv"
    path.write_text(text, encoding="utf-8", errors="replace")
    try:
        tables = read_brake_table(path, DIES)
    except ShopError as refused:
        assert refused.faults
        return
    for row in (row for table in tables.values() for row in table.rows):
        assert 0 < row.allowance <= math.radians(row.angle_deg) * (row.inside_radius + row.thickness)


def with_table(folder, table):
    (folder / "bends.csv").write_text(table, encoding="utf-8")
    path = folder / "shop.toml"
    path.write_text(SHOP_TEXT.replace('bend_rule = "din6935"', 'brake_table = "bends.csv"'), encoding="utf-8")
    return path


def test_a_shop_with_a_table(tmp_path):
    shop = read_shop(with_table(tmp_path, TABLE))
    assert shop.bend_rule("steel-s235").allowance(3, 3, 90) == pytest.approx(2 * 6 - 5.5)
    assert shop.bend_rule("stainless-1.4301").title == "bend table bends.csv"
    with pytest.raises(ValueError, match=r"bends.csv has no row for steel-a36, 3 mm .*, and none for this"):
        shop.bend_rule("steel-a36").allowance(3, 3, 90)


def test_the_faults_of_a_shop_and_of_its_table_come_together(tmp_path):
    path = with_table(tmp_path, TABLE.replace("5.5", "x").replace("1.8,24", "1.8,99"))
    path.write_text(
        path.read_text(encoding="utf-8").replace("steel-s235 = 1.3", "steel = 1.3"), encoding="utf-8"
    )
    with pytest.raises(ShopError) as refused:
        read_shop(path)
    places = [fault.where.rpartition("/")[2] for fault in refused.value.faults]
    assert places == ["shop.toml:4:12", "bends.csv:2", "bends.csv:3"]


def test_a_table_that_is_not_there(tmp_path):
    path = with_table(tmp_path, TABLE)
    (tmp_path / "bends.csv").unlink()
    with pytest.raises(ShopError, match="there is no such file; expected a bend table file"):
        read_shop(path)
