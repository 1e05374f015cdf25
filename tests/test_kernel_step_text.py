"""The rewriting of STEP text, on texts written here: whatever order and numbers the kernel chose, the
same bytes come out."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountgen.errors import KernelError
from mountgen.kernel.step_text import StepHeader, canonical, encoded

HEADER = StepHeader("a.step", "2026-01-02T03:04:05", "AP214")
ROOT = "MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION"


def step(occurrence_ids, styled, start=900, gap=1):
    """Three solids #11, #12, #13 and two occurrences; a colour record for each solid in `styled`, with
    line breaks wherever long numbers would make the kernel break."""
    lines = ["#10 = PRODUCT('mount','mount','',(#9));"]
    lines += [f"#{n} = MANIFOLD_SOLID_BREP('',#{n + 30});" for n in (11, 12, 13)]
    pairs = zip(occurrence_ids, (20, 21), strict=True)
    lines += [f"#{n} = NEXT_ASSEMBLY_USAGE_OCCURRENCE('{i}','x',\n  '',#10,#{n - 9},$);" for i, n in pairs]
    number = start
    for solid in styled:
        lines += [f"#{number} = {ROOT}('',(#{number + gap})\n  ,#40);"]
        lines += [f"#{number + gap} = STYLED_ITEM('color',(#{number + 2 * gap}),\n#{solid});"]
        lines += [f"#{number + 2 * gap} = COLOUR_RGB('',0.{solid},0.5,0.5);"]
        number += 3 * gap
    return (
        "ISO-10303-21;\nHEADER;\nFILE_NAME('now');\nENDSEC;\nDATA;\n" + "\n".join(lines) + "\nENDSEC;\nEND;\n"
    )


REFERENCE = canonical(step((1, 2), (11, 12, 13)).encode(), HEADER, ["left", "right"])


@given(st.permutations([11, 12, 13]), st.integers(1, 10**6))
def test_order_of_colours_and_ids_of_occurrences_do_not_matter(styled, first_id):
    text = step((first_id, first_id + 1), styled)
    assert canonical(text.encode(), HEADER, ["left", "right"]) == REFERENCE


def test_styles_refer_to_their_own_records():
    text = REFERENCE.decode()
    for solid in (11, 12, 13):
        style = re.search(rf"STYLED_ITEM\('color',\(#(\d+)\),#{solid}\)", text)
        assert style
        assert f"#{style[1]} = COLOUR_RGB('',0.{solid}," in text
    numbers = [int(n) for n in re.findall(r"^#(\d+) =", text, re.MULTILINE)]
    assert len(numbers) == len(set(numbers))


def test_occurrences_take_the_names_given():
    assert b"NEXT_ASSEMBLY_USAGE_OCCURRENCE('1','left','',#10,#11,$)" in REFERENCE
    assert b"NEXT_ASSEMBLY_USAGE_OCCURRENCE('2','right','',#10,#12,$)" in REFERENCE


@pytest.mark.parametrize("names", [[], ["left"], ["left", "middle", "right"]])
def test_wrong_number_of_names(names):
    with pytest.raises(KernelError, match="the STEP file has 2 occurrences"):
        canonical(step((1, 2), (11,)).encode(), HEADER, names)


def test_file_without_colours_is_left_whole():
    text = canonical(step((1, 2), ()).encode(), HEADER, ["a", "b"]).decode()
    assert text.endswith("#21 = NEXT_ASSEMBLY_USAGE_OCCURRENCE('2','b','',#10,#12,$);\nENDSEC;\nEND;\n")


def test_rewriting_twice_changes_nothing_more():
    assert canonical(REFERENCE, HEADER, ["left", "right"]) == REFERENCE


def test_header_carries_no_clock():
    assert b"'now'" not in REFERENCE
    assert b"FILE_NAME('a.step','2026-01-02T03:04:05'," in REFERENCE


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("plate", "plate"),
        ("it's", "it''s"),
        ("a\\b", "a\\\\b"),
        ("für", "f\\X2\\00FC\\X0\\r"),
        ("円筒", "\\X2\\51867B52\\X0\\"),
        ("\U0001f6de", "\\X4\\0001F6DE\\X0\\"),
    ],
)
def test_strings_as_part_21_writes_them(text, expected):
    """ISO 10303-21, encoding of strings: hexadecimal of the ISO 10646 code points, four digits each after
    X2, eight after X4."""
    assert encoded(text) == expected
