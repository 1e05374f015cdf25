"""DXF in the shop's flavour: R12 and newer, layers under the shop's own names.

The R12 file is read by a reader of group codes that is written here, after the DXF reference: pairs of a code
and a value; it shares nothing with the library that wrote the file.
"""

from __future__ import annotations

import math
from pathlib import Path

import ezdxf
import pytest
from test_flat_dxf import RULE, bracket

from mountgen.errors import InputError
from mountgen.package.dxf_flavour import Flavour, read_layers
from mountgen.package.dxf_lint import lint_flat
from mountgen.package.flat_dxf import flat_drawing
from mountgen.sheet.flat import unfold

SHOP = {"CUT_OUTER": "CONTOUR", "CUT_INNER": "HOLES", "MARK": "ENGRAVE"}


def written(tmp_path: Path, flavour: Flavour) -> Path:
    path = tmp_path / "flat.dxf"
    path.write_text(flat_drawing(bracket(), unfold(bracket(), RULE), flavour), encoding="ascii")
    return path


def pairs(path: Path) -> list[tuple[int, str]]:
    lines = path.read_text(encoding="ascii").splitlines()
    return [(int(code), value.strip()) for code, value in zip(lines[::2], lines[1::2], strict=True)]


def r12_paths(path: Path) -> dict[str, list[list[tuple[float, float, float]]]]:
    """Closed POLYLINE paths by layer: x, y and bulge of their VERTEX entities."""
    found: dict[str, list[list[tuple[float, float, float]]]] = {}
    entity, values = "", {}
    inside = False
    for code, value in [*pairs(path), (0, "EOF")]:
        if code == 0:
            if entity == "POLYLINE" and int(values.get(70, "0")) & 1:
                found.setdefault(values[8], []).append([])
                inside = True
            elif entity == "POLYLINE":
                inside = False
            elif entity == "VERTEX" and inside:
                corner = (float(values[10]), float(values[20]), float(values.get(42, "0")))
                found[values[8]][-1].append(corner)
            entity, values = value, {}
        elif code not in values:
            values[code] = value
    return found


def area(corners: list[tuple[float, float, float]]) -> float:
    """Shoelace with the segments of circles that bulges add (bulge = tan of a quarter of the angle)."""
    total = 0.0
    for (x0, y0, bulge), (x1, y1, _) in zip(corners, corners[1:] + corners[:1], strict=True):
        total += (x0 * y1 - x1 * y0) / 2
        if bulge:
            turn = 4 * math.atan(bulge)
            radius = math.hypot(x1 - x0, y1 - y0) / (2 * abs(math.sin(turn / 2)))
            total += math.copysign(radius**2 * (abs(turn) - math.sin(abs(turn))) / 2, bulge)
    return total


def test_r12_holds_the_flat_by_group_codes_alone(tmp_path):
    flat = unfold(bracket(), RULE)
    path = written(tmp_path, Flavour("R12"))
    assert (1, "AC1009") in pairs(path)
    assert not [value for code, value in pairs(path) if code == 0 and value == "LWPOLYLINE"]
    paths = r12_paths(path)
    (outline,) = paths["CUT_OUTER"]
    assert abs(area(outline)) == pytest.approx(flat.outline.area, rel=1e-6)
    slots = sorted(abs(area(slot)) for slot in paths["CUT_INNER"])
    wanted = sorted(p.hole.contour.area for p in flat.holes if not hasattr(p.hole, "diameter"))
    assert slots == pytest.approx(wanted, rel=1e-6)


@pytest.mark.parametrize("version", ["R12", "R2000", "R2010"])
@pytest.mark.parametrize("layers", [{}, SHOP])
def test_every_flavour_is_sound(tmp_path, version, layers):
    flavour = Flavour(version, layers)
    path = written(tmp_path, flavour)
    assert lint_flat(path, flavour) == ()
    drawing = ezdxf.readfile(path)
    assert not drawing.audit().errors
    used = {entity.dxf.layer for entity in drawing.modelspace()}
    assert used == {
        layers.get(name, name) for name in ("CUT_OUTER", "CUT_INNER", "BEND_UP", "BEND_DOWN", "MARK")
    }


@pytest.mark.parametrize("version", ["R12", "R2000"])
def test_lint_sees_faults_on_renamed_layers_and_in_r12(tmp_path, version):
    flavour = Flavour(version, SHOP)
    path = written(tmp_path, flavour)
    drawing = ezdxf.readfile(path)
    drawing.modelspace().add_line((500, 0), (510, 0), dxfattribs={"layer": "CONTOUR"})
    drawing.saveas(path)
    assert any(fault.startswith("open path on CONTOUR") for fault in lint_flat(path, flavour))


def test_the_same_bytes_every_time():
    flat = unfold(bracket(), RULE)
    for version in ("R12", "R2000"):
        texts = {flat_drawing(bracket(), flat, Flavour(version, SHOP)) for _ in range(2)}
        assert len(texts) == 1


def test_layers_are_read(tmp_path):
    path = tmp_path / "layers.toml"
    path.write_text('CUT_OUTER = "CONTOUR"\nMARK = "PLATE"\n', encoding="utf-8")
    assert read_layers(path) == {"CUT_OUTER": "CONTOUR", "MARK": "PLATE"}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('CUT = "A"', "layer 'CUT'; expected one of CUT_OUTER"),
        ('MARK = "engrave it"', "'engrave it' as the name of MARK"),
        ("MARK = 3", "3 as the name of MARK"),
        ('MARK = "A"\nCUT_INNER = "A"', "'A' for MARK and for CUT_INNER"),
        ("MARK = ", "cannot be read"),
    ],
)
def test_wrong_layer_files_are_refused(tmp_path, text, words):
    path = tmp_path / "layers.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as refused:
        read_layers(path)
    assert words in str(refused.value)
    assert str(path) in str(refused.value)
