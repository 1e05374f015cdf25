"""The pages of a package's PDF as pictures, for browsers that show no PDF inside a page.

Pictures are SVG: lines stay sharp when a person zooms in.
"""

from __future__ import annotations

from pathlib import Path

LEAF = """
#set page(width: auto, height: auto, margin: 0pt)
#image(sys.inputs.at("file"), format: "pdf", page: int(sys.inputs.at("page")))
"""


def count_leaves(path: Path) -> int:
    """How many pages a PDF has."""
    from pypdf import PdfReader

    return len(PdfReader(path).pages)


def leaf_svg(path: Path, number: int) -> bytes:
    """One page of a PDF, counted from 1. Raises ValueError for one that it does not have."""
    import typst

    if not 1 <= number <= count_leaves(path):
        raise ValueError(f"{path.name} has no page {number}")
    inputs = {"file": f"/{path.name}", "page": str(number)}
    compiler = typst.Compiler(LEAF.encode(), root=path.parent, sys_inputs=inputs, ignore_system_fonts=True)
    picture = compiler.compile(format="svg")
    assert isinstance(picture, bytes)
    return picture
