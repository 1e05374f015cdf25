"""Damaged drawings by the thousand: each is read or refused with an InputError, within five seconds.

Opt in with `pytest -m campaign`. A chunk is repeatable by its number alone.
"""

import logging
import math
import random
import re
import signal
import tomllib
from contextlib import contextmanager

import ezdxf
import pytest
from section_drawings import ANGLE, channel_points, contours, lines, polyline

from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.sections import extrusion_contours
from mountgen.errors import InputError
from mountgen.section.drawing import draw_section
from mountgen.section.profile import section_toml
from mountgen.section.reader import read_section
from mountgen.section.words import describe

FILES_A_CHUNK = 500
CHUNKS = 42
LONGEST = 5.0
"""s; for one file."""
NASTY = [
    "nan", "inf", "-inf", "1e308", "-1e308", "1e-320", "0", "-1", "1e9", "99999999999", "", " ", "x", "0.0",
    "-0.0", "2147483648", "-2147483649", "1.5.2", "1,5", "FFFFFFFF", "LINE", "INSERT", "ENDSEC", "EOF", "é",
    "3.14159265", "360", "720", "1e-7", "0.005", "32767", "65536",
]  # fmt: skip


def angle_in_lines(space):
    lines(space, ANGLE)


def channel_with_bulges(space):
    polyline(space, [(0, 0), (40, 0), (40, 2, 0.4), (2, 2), (2, 98), (40, 98, -0.3), (40, 100), (0, 100)])


def web_with_blocks(space):
    polyline(space, [(0, 0), (200, 0), (200, 100), (0, 100)])
    inner = space.doc.blocks.new("HOLE")
    inner.add_circle((0, 0), 4)
    inner.add_point((0, 0))
    outer = space.doc.blocks.new("HOLES")
    outer.add_blockref("HOLE", (10, 5), dxfattribs={"xscale": 2, "rotation": 30})
    grid = {"column_count": 3, "row_count": 2, "column_spacing": 20, "row_spacing": 20}
    outer.add_blockref("HOLE", (10, 25), dxfattribs=grid)
    space.add_blockref("HOLES", (80, 30), dxfattribs={"xscale": -1, "rotation": 10})


def curves(space):
    space.add_ellipse((0, 0), (40, 0), 0.5, 0, math.pi)
    space.add_line((-40, 0), (40, 0))
    space.add_spline([(10, 8), (5, 12), (-5, 11), (-10, 8), (0, 3), (10, 8)])
    space.add_open_spline([(20, 3), (22, 7), (25, 3)], degree=2)
    space.add_line((20, 3), (25, 3))


def heavy(space):
    space.add_polyline2d([(0, 0, 0), (50, 0, 1), (50, 10, 0), (0, 10, 0)], format="xyb", close=True)
    space.add_polyline3d([(5, 3, 0), (9, 3, 0), (9, 6, 0)], close=True)
    space.add_arc((30, 5), 2, 20, 200)
    space.add_arc((30, 5), 2, 200, 20)


def with_text(space):
    lines(space, channel_points(80, 30, 3), "RAIL")
    space.add_text("C 80", height=5)
    space.add_mtext("note")
    space.add_linear_dim((0, -10), (0, 0), (30, 0)).render()
    space.add_hatch().paths.add_polyline_path(ANGLE)


def extrusion(space):
    outline, holes = extrusion_contours(Catalogue().extrusion("tslot-30"))
    contours(space, (outline, *holes))


SEEDS = (angle_in_lines, channel_with_bulges, web_with_blocks, curves, heavy, with_text, extrusion)
VERSIONS = ("R12", "R2000", "R2010")


@pytest.fixture(scope="module")
def texts(tmp_path_factory):
    """The sound drawings as lines of text, each in every version that can hold it."""
    folder, found = tmp_path_factory.mktemp("sound"), []
    for draw in SEEDS:
        for version in VERSIONS:
            if version == "R12" and draw not in (angle_in_lines, heavy):
                continue
            made = ezdxf.new(version, units=4)
            draw(made.modelspace())
            path = folder / "sound.dxf"
            made.saveas(path)
            found.append(path.read_bytes().split(b"\n"))
    return found


def entity_range(rows):
    """Where blocks and entities stand: damage there is what a reader of sections meets."""
    start = next((i for i, row in enumerate(rows) if row.strip() == b"BLOCKS"), 0)
    end = next((i for i, row in enumerate(rows) if row.strip() == b"OBJECTS"), len(rows))
    return start, max(start + 2, min(end, len(rows)))


def damaged(rows, dice):
    """The file with one to six injuries, most of them among its entities."""
    rows = list(rows)
    for _ in range(dice.choice([1, 1, 1, 2, 3, 6])):
        low, high = entity_range(rows) if dice.random() < 0.85 else (0, len(rows))
        if high - low < 3:
            break
        place = dice.randrange(low, high - 1)
        if dice.random() < 0.75:
            injure_tags(rows, place - place % 2, dice)
        else:
            injure(rows, place, dice)
    return b"\n".join(rows)


def injure_tags(rows, i, dice):
    """An injury that leaves group codes and values in step: it is met late, not by the first look."""
    kind = dice.randrange(8)
    if kind <= 1:
        rows[i + 1] = dice.choice(NASTY).encode()
    elif kind == 2:
        rows[i] = str(dice.randrange(-5, 300)).encode()
    elif kind == 3:
        del rows[i : i + 2 * dice.choice([1, 1, 2, 8, 20])]
    elif kind == 4:
        rows[i:i] = rows[i : i + 2 * dice.choice([1, 1, 2, 8, 20])]
    elif kind == 5:
        j = dice.randrange(0, len(rows) - 2, 2)
        rows[i : i + 2], rows[j : j + 2] = rows[j : j + 2], rows[i : i + 2]
    else:
        numbers = [k for k in range(i + 1, min(i + 80, len(rows)), 2) if is_decimal(rows[k])]
        for k in numbers[:1]:
            factor = dice.choice([-1, 0, 1 + 1e-6, 1 + 1e-4, 1.01, 2, 1000, 1e-5])
            rows[k] = repr(float(rows[k]) * factor).encode()


def is_decimal(row):
    return re.fullmatch(rb"\s*-?[0-9]+\.[0-9]+\s*", row) is not None


def injure(rows, i, dice):
    kind = dice.randrange(10)
    value = dice.choice(NASTY).encode()
    if kind <= 2:
        rows[i] = value
    elif kind == 3:
        del rows[i]
    elif kind == 4:
        rows.insert(i, value)
    elif kind == 5:
        del rows[i : i + dice.randrange(2, 40)]
    elif kind == 6:
        rows[i:i] = rows[i : i + dice.randrange(2, 60)] * dice.choice([1, 1, 3])
    elif kind == 7:
        j = dice.randrange(len(rows))
        rows[i], rows[j] = rows[j], rows[i]
    elif kind == 8:
        row = bytearray(rows[i] or b"0")
        row[dice.randrange(len(row))] = dice.randrange(256)
        rows[i] = bytes(row)
    else:
        del rows[dice.choice([i, len(rows) - dice.randrange(1, 30)]) :]


@contextmanager
def watched():
    """Raises TimeoutError inside when `LONGEST` seconds have passed."""

    def ring(*_):
        raise TimeoutError("too long")

    before = signal.signal(signal.SIGALRM, ring)
    signal.setitimer(signal.ITIMER_REAL, LONGEST)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


def outcome(path, dice):
    """'read' or 'refused'; everything that comes out of a read one must be sound."""
    units, layer = dice.choice([*["mm"] * 6, None, "in"]), dice.choice([*[None] * 9, "RAIL"])
    try:
        section = read_section(path, units=units, layer=layer)
    except InputError as error:
        assert error.faults
        assert all(fault.where == str(path) and fault.found and fault.action for fault in error.faults)
        return "refused"
    assert 0 < section.properties.area < section.depth * section.width * (1 + 1e-6)
    assert describe(section)
    assert draw_section(section).startswith("<svg")
    assert tomllib.loads(section_toml(section, "damaged"))["shape"] == section.kind
    return "read"


def run(texts, chunk, tmp_path, count):
    dice = random.Random(f"damaged drawings {chunk}")
    path, outcomes = tmp_path / "damaged.dxf", {"read": 0, "refused": 0}
    for number in range(count):
        path.write_bytes(damaged(dice.choice(texts), dice))
        try:
            with watched():
                outcomes[outcome(path, dice)] += 1
        except Exception as error:
            kept = tmp_path / f"kept-{chunk}-{number}.dxf"
            path.rename(kept)
            error.add_note(f"file {number} of chunk {chunk}: {kept}")
            raise
    return outcomes


def test_a_few_damaged_drawings_are_read_or_refused(texts, tmp_path):
    assert run(texts, "few", tmp_path, 60)["refused"] > 0


@pytest.mark.campaign
@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_damaged_drawings_are_read_or_refused(texts, tmp_path, chunk):
    outcomes = run(texts, chunk, tmp_path, FILES_A_CHUNK)
    logging.getLogger(__name__).warning("chunk %s: %s", chunk, outcomes)
    assert sum(outcomes.values()) == FILES_A_CHUNK
