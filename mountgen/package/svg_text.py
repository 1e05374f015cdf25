"""How wide a text is in the font of the documents, and the box that it covers.

The widths are read from the font file itself (OpenType tables head, hhea, hmtx and cmap format 4).
"""

from __future__ import annotations

import struct
from functools import cache
from pathlib import Path

FONTS = Path(__file__).parent / "fonts"
REGULAR, BOLD = "DejaVuSansCondensed.ttf", "DejaVuSansCondensed-Bold.ttf"
CAPITAL_SHARE = 1493 / 2048
"""Height of a capital as a share of the font size, in DejaVu Sans."""
DESCENT_SHARE = 0.33
"""How far a letter such as g hangs below the baseline, as a share of the capitals' height."""


def text_width(text: str, height: float, *, bold: bool = False) -> float:
    """Width of a line of text in mm, its capitals being `height` mm high."""
    widths = _widths(BOLD if bold else REGULAR)
    return sum(widths[character] for character in displayable(text)) * height / CAPITAL_SHARE


def displayable(text: str) -> str:
    """The text with a space for what cannot be printed, and [U+79CD] for what the fonts cannot show.

    A PDF that must be readable by everyone (PDF/UA) may not hold a character without a picture.
    """
    known = _known()
    if known.issuperset(text) and text.isprintable():
        return text
    return "".join(_shown(character, character in known) for character in text)


def _shown(character: str, is_known: bool) -> str:
    if not character.isprintable():
        return " "
    return character if is_known else f"[U+{ord(character):04X}]"


def shortened(text: str, height: float, width: float, *, bold: bool = False) -> str:
    """The text, cut with an ellipsis where it is wider than `width` mm."""
    if text_width(text, height, bold=bold) <= width:
        return text
    kept = text
    while kept and text_width(kept + "…", height, bold=bold) > width:
        kept = kept[:-1]
    return kept.rstrip() + "…"


def wrapped(text: str, height: float, width: float) -> list[str]:
    """The text in lines no wider than `width` mm, broken between words."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, height) <= width:
            lines[-1] = longer
        else:
            lines.append(shortened(word, height, width))
    return lines


@cache
def _known() -> frozenset[str]:
    """Every character that both fonts can show."""
    return frozenset(_widths(REGULAR).keys() & _widths(BOLD).keys())


@cache
def _widths(file: str) -> dict[str, float]:
    """Advance widths by character, as shares of the font size."""
    data = (FONTS / file).read_bytes()
    tables = _tables(data)
    per_em = struct.unpack_from(">H", data, tables["head"] + 18)[0]
    count = struct.unpack_from(">H", data, tables["hhea"] + 34)[0]
    pairs = struct.unpack_from(f">{2 * count}H", data, tables["hmtx"])
    advances = pairs[::2]
    glyphs = _characters(data, tables["cmap"])
    return {chr(c): advances[min(g, count - 1)] / per_em for c, g in glyphs.items() if g}


def _tables(data: bytes) -> dict[str, int]:
    count = struct.unpack_from(">H", data, 4)[0]
    records = (struct.unpack_from(">4sIII", data, 12 + 16 * i) for i in range(count))
    return {tag.decode("ascii"): offset for tag, _, offset, _ in records}


def _characters(data: bytes, cmap: int) -> dict[int, int]:
    """Character to glyph, from the Windows Unicode table (platform 3, encoding 1, format 4)."""
    count = struct.unpack_from(">H", data, cmap + 2)[0]
    records = [struct.unpack_from(">HHI", data, cmap + 4 + 8 * i) for i in range(count)]
    at = cmap + next(offset for platform, encoding, offset in records if (platform, encoding) == (3, 1))
    segments = struct.unpack_from(">H", data, at + 6)[0] // 2
    ends, starts, deltas, ranges = (
        struct.unpack_from(f">{segments}H", data, at + 14 + k * 2 * segments + (2 if k else 0))
        for k in range(4)
    )
    found: dict[int, int] = {}
    for i, (start, end, delta, offset) in enumerate(zip(starts, ends, deltas, ranges, strict=True)):
        for character in range(start, min(end, 0xFFFE) + 1):
            if offset == 0:
                found[character] = (character + delta) & 0xFFFF
                continue
            where = at + 16 + 6 * segments + 2 * i + offset + 2 * (character - start)
            glyph = struct.unpack_from(">H", data, where)[0]
            found[character] = (glyph + delta) & 0xFFFF if glyph else 0
    return found
