"""The line index against lines counted by hand and by plain search."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountgen.survey.lines import line_index, line_of

TEXT = '''\
# a comment with [brackets] and a = sign
top = "a # no comment"   # a comment

[rail]  # header
"quoted key" = 1
dotted . inner = 'x = [1]'
list = [
  "first",   # , ]
  [2, 3],

  { a = 1, b = "}" },
]
text = """
not = a key
[not.a.table]
"""
literal = \'\'\'
also = none\'\'\'
[[rail.keepout]]
x = [1, 2]
[[rail.keepout]]
x = { low = 1, high.deep = 2 }

[[product]]
name = "S"
[product.code]
face = "top"
[[product]]
[product.code]
size = [80,
        12]
[late]
done = true'''

BY_HAND = {
    ("top",): 2,
    ("rail",): 4,
    ("rail", "quoted key"): 5,
    ("rail", "dotted"): 6,
    ("rail", "dotted", "inner"): 6,
    ("rail", "list"): 7,
    ("rail", "list", 0): 8,
    ("rail", "list", 1): 9,
    ("rail", "list", 1, 0): 9,
    ("rail", "list", 1, 1): 9,
    ("rail", "list", 2): 11,
    ("rail", "list", 2, "a"): 11,
    ("rail", "list", 2, "b"): 11,
    ("rail", "text"): 13,
    ("rail", "literal"): 17,
    ("rail", "keepout"): 19,
    ("rail", "keepout", 0): 19,
    ("rail", "keepout", 0, "x"): 20,
    ("rail", "keepout", 0, "x", 0): 20,
    ("rail", "keepout", 0, "x", 1): 20,
    ("rail", "keepout", 1): 21,
    ("rail", "keepout", 1, "x"): 22,
    ("rail", "keepout", 1, "x", "low"): 22,
    ("rail", "keepout", 1, "x", "high"): 22,
    ("rail", "keepout", 1, "x", "high", "deep"): 22,
    ("product",): 24,
    ("product", 0): 24,
    ("product", 0, "name"): 25,
    ("product", 0, "code"): 26,
    ("product", 0, "code", "face"): 27,
    ("product", 1): 28,
    ("product", 1, "code"): 29,
    ("product", 1, "code", "size"): 30,
    ("product", 1, "code", "size", 0): 30,
    ("product", 1, "code", "size", 1): 31,
    ("late",): 32,
    ("late", "done"): 33,
}


@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_every_line_by_hand(ending):
    text = TEXT.replace("\n", ending)
    tomllib.loads(text)
    assert line_index(text) == BY_HAND


@pytest.mark.parametrize(
    ("path", "line"),
    [(("product", 1, "code", "face"), 29), (("rail", "profile"), 4), (("nowhere", "at all"), 1), ((), 1)],
)
def test_a_missing_key_is_at_the_table_around_it(path, line):
    assert line_of(BY_HAND, path) == line


def paths(value, path=()):
    """Every key path of a parsed document."""
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in items:
        yield (*path, key)
        yield from paths(item, (*path, key))


KEYS = st.text("abcxyz_-0123456789", min_size=1, max_size=6)
SCALARS = st.sampled_from(
    ["1", "-2.5", '"a # b"', "'c = d'", "true", '"""e\n[f]\n"""', "'''g\nh = 1'''", "1979-05-27"]
)
BREAKS = st.sampled_from(["", "\n", " # note ]\n", "  "])


@st.composite
def values(draw, depth=2):
    kind = draw(st.sampled_from(["scalar", "array", "table"] if depth else ["scalar"]))
    if kind == "scalar":
        return draw(SCALARS)
    if kind == "array":
        items = [
            draw(BREAKS) + draw(values(depth - 1)) + draw(BREAKS) for _ in range(draw(st.integers(0, 3)))
        ]
        return "[" + ",".join(items) + draw(BREAKS) + "]"
    keys = draw(st.lists(KEYS, unique=True, max_size=3))
    return "{" + ", ".join(f"{key} = {draw(values(depth - 1))}" for key in keys) + "}"


@given(st.lists(st.tuples(KEYS, values(), BREAKS), unique_by=lambda row: row[0], max_size=5))
def test_exactly_the_keys_of_the_document_are_found(rows):
    text = "".join(f"{gap}\n{key} = {value}\n" for key, value, gap in rows)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    index = line_index(text)
    assert set(index) == set(paths(data))
    lines = text.split("\n")
    for key, _, _ in rows:
        assert lines[index[key,] - 1].startswith(f"{key} = ")
