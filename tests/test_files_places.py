"""The places of keys and values against lines and columns counted by hand and by plain search."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountgen.files.places import Place, PlaceIndex, place_index

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

# path: (line and column of the key), (line and column of the value); None where there is none
BY_HAND = {
    ("top",): ((2, 1), (2, 7)),
    ("rail",): ((4, 2), None),
    ("rail", "quoted key"): ((5, 1), (5, 16)),
    ("rail", "dotted"): ((6, 1), None),
    ("rail", "dotted", "inner"): ((6, 10), (6, 18)),
    ("rail", "list"): ((7, 1), (7, 8)),
    ("rail", "list", 0): (None, (8, 3)),
    ("rail", "list", 1): (None, (9, 3)),
    ("rail", "list", 1, 0): (None, (9, 4)),
    ("rail", "list", 1, 1): (None, (9, 7)),
    ("rail", "list", 2): (None, (11, 3)),
    ("rail", "list", 2, "a"): ((11, 5), (11, 9)),
    ("rail", "list", 2, "b"): ((11, 12), (11, 16)),
    ("rail", "text"): ((13, 1), (13, 8)),
    ("rail", "literal"): ((17, 1), (17, 11)),
    ("rail", "keepout"): ((19, 8), None),
    ("rail", "keepout", 0): ((19, 8), None),
    ("rail", "keepout", 0, "x"): ((20, 1), (20, 5)),
    ("rail", "keepout", 0, "x", 0): (None, (20, 6)),
    ("rail", "keepout", 0, "x", 1): (None, (20, 9)),
    ("rail", "keepout", 1): ((21, 8), None),
    ("rail", "keepout", 1, "x"): ((22, 1), (22, 5)),
    ("rail", "keepout", 1, "x", "low"): ((22, 7), (22, 13)),
    ("rail", "keepout", 1, "x", "high"): ((22, 16), None),
    ("rail", "keepout", 1, "x", "high", "deep"): ((22, 21), (22, 28)),
    ("product",): ((24, 3), None),
    ("product", 0): ((24, 3), None),
    ("product", 0, "name"): ((25, 1), (25, 8)),
    ("product", 0, "code"): ((26, 10), None),
    ("product", 0, "code", "face"): ((27, 1), (27, 8)),
    ("product", 1): ((28, 3), None),
    ("product", 1, "code"): ((29, 10), None),
    ("product", 1, "code", "size"): ((30, 1), (30, 8)),
    ("product", 1, "code", "size", 0): (None, (30, 9)),
    ("product", 1, "code", "size", 1): (None, (31, 9)),
    ("late",): ((32, 2), None),
    ("late", "done"): ((33, 1), (33, 8)),
}
INDEX = PlaceIndex(
    keys={path: Place(*key) for path, (key, _) in BY_HAND.items() if key},
    values={path: Place(*value) for path, (_, value) in BY_HAND.items() if value},
)


@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_every_place_by_hand(ending):
    text = TEXT.replace("\n", ending)
    tomllib.loads(text)
    assert place_index(text) == INDEX


@pytest.mark.parametrize(
    ("path", "part", "place"),
    [
        (("product", 1, "code", "size"), "key", (30, 1)),
        (("product", 1, "code", "size"), "value", (30, 8)),
        (("product", 1, "code", "face"), "value", (29, 10)),
        (("rail", "profile"), "value", (4, 2)),
        (("rail", "list", 2, "c"), "value", (11, 3)),
        (("rail",), "value", (4, 2)),
        (("nowhere", "at all"), "key", (1, 1)),
        ((), "value", (1, 1)),
    ],
)
def test_the_place_of_a_complaint(path, part, place):
    """A missing key is at the table around it."""
    assert INDEX.of(path, part) == place


def test_escapes_in_a_key():
    index = place_index('"fl\\u006fw" = 1\n\'a"b\' = 2\n"c.d".e = 3\n')
    assert list(index.values) == [("flow",), ('a"b',), ("c.d", "e")]


def paths(value, path=()):
    """Every key path of a parsed document."""
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in items:
        yield (*path, key)
        yield from paths(item, (*path, key))


KEYS = st.text("abcxyz_-0123456789", min_size=1, max_size=6)
TEXTS = ["1", "-2.5", '"a # b"', "'c = d'", "true", '"""e\n[f]\n"""', "'''g\nh = 1'''", "1979-05-27"]
SCALARS = st.sampled_from(TEXTS)
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
    index = place_index(text)
    assert set(index.keys) | set(index.values) == set(paths(data))
    lines = text.split("\n")
    for key, value, _ in rows:
        line, column = index.keys[key,]
        assert column == 1
        assert lines[line - 1].startswith(f"{key} = ")
        assert index.values[key,] == (line, len(f"{key} = ") + 1)
        assert lines[line - 1][len(f"{key} = ") :].startswith(value.split("\n")[0])


@given(values())
def test_what_stands_at_a_value_is_the_value(value):
    """Cut out from its place, each scalar of a document reads as what the document holds there."""
    text = f"x = {value}\n"
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    lines = text.split("\n")
    for path, (line, column) in place_index(text).values.items():
        held = data
        for step in path:
            held = held[step]
        if not isinstance(held, dict | list):
            rest = "\n".join([lines[line - 1][column - 1 :], *lines[line:]])
            assert any(
                rest.startswith(scalar) and tomllib.loads(f"x = {scalar}")["x"] == held for scalar in TEXTS
            )
