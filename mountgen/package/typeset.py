"""PDFs from Typst templates: data as JSON, vendored fonts, a fixed date; the same data give the same bytes.

Text of a user goes in as data and is never read as markup. The files conform to PDF/UA-1 (tagged, every
picture with its alternative text).
"""

from __future__ import annotations

import json
from pathlib import Path

import typst

from mountgen.package.svg_text import FONTS

TEMPLATES = Path(__file__).parent / "templates"


def typeset(template: str, data: object) -> bytes:
    """The PDF of a template (a file name in `templates`) and its data."""
    return typst.compile(
        TEMPLATES / template,
        format="pdf",
        font_paths=[FONTS],
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
        pdf_standards="ua-1",
        timestamp=0,
    )
