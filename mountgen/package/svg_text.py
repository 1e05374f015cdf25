"""How wide a text is in the font of the documents, and the box that it covers.

The widths are read from the font file itself (OpenType tables head, hhea, hmtx and cmap format 4).
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from functools import cache
from pathlib import Path

FONTS = Path(__file__).parent / "fonts"
CAPITAL_SHARE = 1493 / 2048
"""Height of a capital as a share of the font size, in DejaVu Sans."""
DESCENT_SHARE = 0.33
"""How far a letter such as g hangs below the baseline, as a share of the capitals' height."""


@dataclass(frozen=True)
class _Widths:
    """Advance widths by character, as shares of the font size."""

    by_character: dict[int, float]
    missing: float


def text_width(text: str, height: float, *, bold: bool = False) -> float:
    """Width of a line of text in mm, its capitals being `height` mm high."""
    widths = _widths("DejaVuSansCondensed-Bold.ttf" if bold else "DejaVuSansCondensed.ttf")
    shares = (widths.by_character.get(ord(character), widths.missing) for character in text)
    return sum(shares) * height / CAPITAL_SHARE


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
def _widths(file: str) -> _Widths:
    data = (FONTS / file).read_bytes()
    tables = _tables(data)
    per_em = struct.unpack_from(">H", data, tables["head"] + 18)[0]
    count = struct.unpack_from(">H", data, tables["hhea"] + 34)[0]
    pairs = struct.unpack_from(f">{2 * count}H", data, tables["hmtx"])
    advances = pairs[::2]
    glyphs = _characters(data, tables["cmap"])
    shares = {c: advances[min(g, count - 1)] / per_em for c, g in glyphs.items()}
    return _Widths(shares, advances[0] / per_em)


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
