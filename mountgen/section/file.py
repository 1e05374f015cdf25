"""The entities of a DXF file as strokes, with every block taken apart.

Words: an *insert* puts a block into the drawing, scaled, turned, mirrored and any number of times. What
is drawn on a layer that is switched off or frozen is not seen and so not read. Knows nothing of what the
strokes mean.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import ezdxf
from ezdxf import recover
from ezdxf.audit import Auditor
from ezdxf.document import Drawing
from ezdxf.entities import DXFEntity, DXFGraphic, Insert, LWPolyline, MLine, Polyline

from mountgen.section.entities import CURVES, strokes_of
from mountgen.section.faults import SectionError, at, counted, refusal
from mountgen.section.strokes import Drawn

LARGEST_FILE = 8_000_000
"""Bytes; a cross-section alone takes a thousandth of that."""
MOST_ENTITIES = 50_000
"""Lines, arcs and blocks after everything is taken apart."""
MOST_STROKES = 5_000
BROKEN = (
    ezdxf.DXFError,
    ValueError,
    TypeError,
    LookupError,
    ArithmeticError,
    AttributeError,
    AssertionError,
    RuntimeError,
    EOFError,
    StopIteration,
)
"""What ezdxf is known to raise on files that are damaged."""


@dataclass
class Contents:
    """What a drawing holds: its unit number, its strokes, what was passed over and why."""

    unit: int
    drawn: list[Drawn] = field(default_factory=list)
    ignored: Counter[str] = field(default_factory=Counter)
    hidden: int = 0
    points: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    layers: Counter[str] = field(default_factory=Counter)


@dataclass(frozen=True)
class _Wish:
    """Which layer is wanted (None: all that are seen), how close curves are followed, in drawing units."""

    path: Path
    layer: str | None
    tolerance: float
    unseen: frozenset[str]


def open_drawing(path: Path) -> tuple[Drawing, tuple[str, ...]]:
    """The drawing and notes about what had to be mended in it. SectionError when it is no DXF."""
    _refuse_before_reading(path)
    try:
        return ezdxf.readfile(path), ()
    except (OSError, UnicodeError, *BROKEN):
        return _recovered(path)


def header_unit(drawing: Drawing) -> int:
    """The drawing's $INSUNITS, 0 when it has none."""
    value = drawing.header.get("$INSUNITS", 0)
    return value if isinstance(value, int) else 0


def contents(path: Path, drawing: Drawing, layer: str | None, tolerance: float) -> Contents:
    """Every line and arc of the drawing's model space; curves within `tolerance` (drawing units).

    SectionError for damaged entities, blocks that contain themselves or unfold without end.
    """
    try:
        return _contents(path, drawing, layer, tolerance)
    except BROKEN as error:
        raise _damaged(path, error) from error


def _contents(path: Path, drawing: Drawing, layer: str | None, tolerance: float) -> Contents:
    unseen = frozenset(x.dxf.name.lower() for x in drawing.layers if x.is_off() or x.is_frozen())
    wish = _Wish(path, layer.lower() if layer is not None else None, tolerance, unseen)
    space = drawing.modelspace()
    _refuse_endless(path, drawing, space)
    found = Contents(header_unit(drawing))
    _gather(space, found, wish, "0", "")
    if sum(len(d.strokes) for d in found.drawn) > MOST_STROKES:
        raise refusal(
            path,
            f"more than {MOST_STROKES} lines and arcs",
            "the cross-section alone",
            "name its layer with `--layer`, or save the section as a drawing of its own",
        )
    if not found.drawn and any(len(sheet) for sheet in drawing.layouts if sheet.is_any_paperspace):
        found.notes.append("the model space is empty; what stands on paper sheets was not read")
    return found


def _refuse_before_reading(path: Path) -> None:
    try:
        size = path.stat().st_size
        content = path.read_bytes() if size <= LARGEST_FILE else b""
    except OSError as error:
        raise refusal(path, f"cannot be read ({error.strerror})", "a DXF file", "check the name") from error
    if size > LARGEST_FILE:
        raise refusal(
            path,
            f"has {size / 1e6:.0f} MB",
            f"a cross-section alone, at most {LARGEST_FILE / 1e6:.0f} MB",
            "save the section as a drawing of its own",
        )
    if content.startswith(b"AC10"):
        raise refusal(path, "is a DWG drawing", "a DXF file", "save it as DXF in the drawing program")
    if b"SECTION" not in content:
        action = "save the drawing as DXF"
        raise refusal(path, "cannot be read as DXF (it has none of its sections)", "a DXF file", action)


def _recovered(path: Path) -> tuple[Drawing, tuple[str, ...]]:
    try:
        drawing, auditor = recover.readfile(path)
    except (OSError, UnicodeError, *BROKEN) as error:
        raise _damaged(path, error) from error
    return drawing, tuple(_mended(auditor))


def _damaged(path: Path, error: BaseException) -> SectionError:
    words = "".join(c if c.isprintable() else " " for c in str(error))[:120] or type(error).__name__
    found = f"cannot be read as DXF ({words})"
    return refusal(path, found, "a sound DXF file", "save the drawing again as DXF")


def _mended(auditor: Auditor) -> Iterator[str]:
    fixes = [entry.message for entry in (*auditor.fixes, *auditor.errors)]
    if fixes:
        yield f"the file was damaged and had {counted(len(fixes), 'fault')}; the first: {fixes[0][:120]}"
    else:
        yield "the file is not quite sound and was read with repairs"


def _refuse_endless(path: Path, drawing: Drawing, space: Iterable[DXFEntity]) -> None:
    """Counts what taking the blocks apart would give, before it is done."""
    known: dict[str, int] = {}

    def size_of(entities: Iterable[DXFEntity], above: tuple[str, ...]) -> int:
        return sum(size(entity, above) for entity in entities)

    def size(entity: DXFEntity, above: tuple[str, ...]) -> int:
        if not isinstance(entity, Insert):
            return len(entity) if isinstance(entity, LWPolyline | Polyline) else 1
        name = entity.dxf.get("name", "").lower()
        if name in above:
            raise refusal(
                path, f"block '{name}' contains itself", "blocks that end", "mend the block or explode it"
            )
        block = drawing.blocks.get(name)
        if name not in known:
            known[name] = 0 if block is None else size_of(block, (*above, name))
        return 1 + max(1, entity.mcount) * known[name]

    total = size_of(space, ())
    if total > MOST_ENTITIES:
        raise refusal(
            path,
            f"its blocks unfold to {total} lines and arcs",
            f"at most {MOST_ENTITIES}",
            "explode the section alone and save it as a drawing of its own",
        )


def _gather(entities: Iterable[DXFEntity], found: Contents, wish: _Wish, outer: str, title: str) -> None:
    """Adds what `entities` draw; those on layer 0 of a block lie on the layer of its insert (`outer`)."""
    for entity in entities:
        own = str(entity.dxf.get("layer", "0"))
        layer = outer if own == "0" else own
        name = title or f"{entity.dxftype()} #{entity.dxf.handle}"
        if isinstance(entity, Insert):
            if layer.lower() in wish.unseen:
                found.hidden += 1
            else:
                _gather_insert(entity, found, wish, layer, f"{name} (block {entity.dxf.get('name', '?')})")
        elif _is_hidden(entity, layer, wish):
            found.hidden += 1
        else:
            _add(entity, found, wish, layer, name)


def _is_hidden(entity: DXFEntity, layer: str, wish: _Wish) -> bool:
    return layer.lower() in wish.unseen or bool(entity.dxf.get("invisible", 0))


def _gather_insert(insert: Insert, found: Contents, wish: _Wish, layer: str, title: str) -> None:
    if insert.block() is None:
        found.notes.append(f"{title} has no block in this file and was left out")
        return

    def skipped(entity: DXFGraphic, reason: str) -> None:
        found.ignored[f"{entity.dxftype()} in a block ({reason.partition('.')[0].lower()})"] += 1

    for single in insert.multi_insert() if insert.mcount > 1 else (insert,):
        _gather(single.virtual_entities(skipped_entity_callback=skipped), found, wish, layer, title)


def _add(entity: DXFEntity, found: Contents, wish: _Wish, layer: str, title: str) -> None:
    kind = entity.dxftype()
    if isinstance(entity, MLine):
        _gather(entity.virtual_entities(), found, wish, layer, title)
        return
    if kind in CURVES or kind == "POINT":
        found.layers[layer] += 1
    if wish.layer is not None and layer.lower() != wish.layer:
        return
    if kind == "POINT":
        location = entity.dxf.get("location", (0.0, 0.0, 0.0))
        found.points.append(f"POINT at {at(tuple(location)[:2])}")
    elif kind in CURVES:
        _add_curve(entity, found, wish, title)
    else:
        found.ignored[kind] += 1


def _add_curve(entity: DXFEntity, found: Contents, wish: _Wish, title: str) -> None:
    try:
        strokes = strokes_of(entity, wish.tolerance)
    except BROKEN as error:
        raise refusal(
            wish.path, f"{title} cannot be read ({error})", "a sound line or curve", "draw it again"
        ) from error
    if strokes is None:
        found.ignored[f"{entity.dxftype()} (a 3D mesh)"] += 1
    else:
        found.drawn.append(Drawn(title, strokes, entity.dxftype() in {"SPLINE", "ELLIPSE"}))
