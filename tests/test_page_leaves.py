"""Pages of a PDF as pictures: how many, which one, of what size."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import typst

from mountgen.page.leaves import count_leaves, leaf_svg


@pytest.fixture
def booklet(tmp_path: Path) -> Path:
    """Two pages, the first 100 mm by 60 mm, the second 50 mm by 80 mm."""
    text = b"#set page(width: 100mm, height: 60mm)\none\n#set page(width: 50mm, height: 80mm)\ntwo"
    path = tmp_path / "booklet.pdf"
    path.write_bytes(typst.compile(text, format="pdf"))
    return path


def test_pages_are_counted_and_drawn_at_their_size(booklet: Path) -> None:
    """A PDF's point is 1/72 in."""
    assert count_leaves(booklet) == 2
    for number, size in ((1, (100.0, 60.0)), (2, (50.0, 80.0))):
        shown = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', leaf_svg(booklet, number).decode())
        assert [float(points) * 25.4 / 72 for points in shown.groups()] == pytest.approx(size, abs=0.01)


@pytest.mark.parametrize("number", [0, 3])
def test_a_page_that_is_not_there_is_refused(booklet: Path, number: int) -> None:
    with pytest.raises(ValueError, match=rf"booklet\.pdf has no page {number}"):
        leaf_svg(booklet, number)
