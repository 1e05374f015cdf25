"""Whatever holes a plate has, no text of its drawing covers another, and none is lost."""

from __future__ import annotations

from drawing_samples import order_of, overlapping, plate_part, texts
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mountgen.package.drawing import draw_part
from mountgen.package.drawing_labels import Patch, Surroundings, Wish, place_labels
from mountgen.package.drawing_words import plain
from mountgen.sheet.tree import RoundHole, Slot

SPOTS = st.tuples(st.integers(10, 150), st.integers(10, 90))
ROUND = st.builds(lambda at: RoundHole((float(at[0]), float(at[1])), 5.5, "clearance", "M5"), SPOTS)
SLOTS = st.builds(
    lambda at, turn: Slot((float(at[0]), float(at[1])), 6.6, 14.0, float(turn), "slot", "M6"),
    SPOTS,
    st.integers(0, 179),
)
HOLES = st.lists(st.one_of(ROUND, SLOTS), min_size=1, max_size=14)
QUICK = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@QUICK
@given(HOLES)
def test_no_text_of_a_drawing_covers_another(holes):
    for svg in draw_part(order_of(plate_part(holes))):
        assert overlapping(list(texts(svg))) == []


@QUICK
@given(HOLES)
def test_every_hole_has_one_tag_one_row_and_its_ordinates(holes):
    order = order_of(plate_part(holes))
    found = [text for svg in draw_part(order) for text in texts(svg)]
    tags = [t.text for t in found if t.role == "tag"]
    cells = [t.text for t in found if t.role == "cell"]
    assert sorted(tags) == sorted(placed.tag for placed in order.flat.holes)
    assert all(cells.count(tag) == 1 for tag in tags)
    for axis, side in ((0, "bottom"), (1, "left")):
        shown = [t.text for t in found if t.role == f"ordinate-{side}"]
        assert len(shown) == len(set(shown))
        assert set(shown) == {"0", *(plain(placed.hole.centre[axis]) for placed in order.flat.holes)}


@QUICK
@given(st.lists(st.tuples(st.floats(5, 95), st.floats(5, 95)), min_size=1, max_size=25))
def test_placed_labels_cover_neither_each_other_nor_a_hole(points):
    holes = tuple(Patch((x - 1, y - 1), (x + 1, y + 1)) for x, y in points)
    area = Patch((-60.0, -60.0), (160.0, 160.0))
    wishes = [Wish(f"A{i}", at, 1.0) for i, at in enumerate(points)]
    patches = [label.patch for label in place_labels(wishes, Surroundings(area, holes))]
    for i, patch in enumerate(patches):
        assert not any(patch.overlaps(other) for other in (*patches[:i], *holes))
        assert area.low[0] <= patch.low[0]
        assert patch.high[1] <= area.high[1]
