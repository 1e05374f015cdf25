"""The drawing of a section as PNG."""

from __future__ import annotations

from importlib.resources import as_file, files

from mountgen.section.drawing import draw_section
from mountgen.section.records import Section

PIXELS_PER_INCH = 144.0
PAGE = """
#set page(width: auto, height: auto, margin: 0pt)
#image(bytes(sys.inputs.at("drawing")), format: "svg")
"""


def section_png(section: Section) -> bytes:
    """A PNG picture of the section, with the fonts that come with mountgen."""
    import typst

    with as_file(files("mountgen") / "package" / "fonts") as fonts:
        picture = typst.compile(
            PAGE.encode(),
            format="png",
            ppi=PIXELS_PER_INCH,
            font_paths=typst.Fonts(include_system_fonts=False, font_paths=[fonts]),
            sys_inputs={"drawing": draw_section(section)},
        )
    assert isinstance(picture, bytes)
    return picture
