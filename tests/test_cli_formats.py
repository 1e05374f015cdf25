"""What the shop's programs read, chosen on the command line; and what changed since an earlier package."""

from __future__ import annotations

import ezdxf
import pytest
from test_cli import CARTONS

from mountgen.package.beside import InLine


@pytest.fixture(autouse=True)
def one_process(monkeypatch):
    """Other tests leave the typesetter's threads in this process: a fork would wait for them for ever."""
    monkeypatch.setattr("mountgen.package.beside.second_process", InLine)


def test_formats_and_layers_reach_the_files(run, tmp_path):
    layers = tmp_path / "layers.toml"
    layers.write_text('CUT_OUTER = "CONTOUR"\n', encoding="utf-8")
    out = tmp_path / "out"
    outcome = run("build", CARTONS, "--out", out, "--step", "AP214", "--dxf", "R12", "--layers", layers)
    assert outcome.code == 0
    folder = out / "seed-cartons"
    assert "AUTOMOTIVE_DESIGN" in (folder / "assembly.step").read_text(encoding="ascii")[:500]
    drawing = ezdxf.readfile(folder / "flat" / "B20.dxf")
    assert drawing.dxfversion == "AC1009"
    assert "CONTOUR" in {entity.dxf.layer for entity in drawing.modelspace()}
    again = run("build", CARTONS, "--out", tmp_path / "again", "--since", folder)
    assert "the same as before: " in again.out
    assert "make anew" not in again.out


def test_wrong_layers_write_nothing(run, tmp_path):
    layers = tmp_path / "layers.toml"
    layers.write_text('CUT = "A"\n', encoding="utf-8")
    outcome = run("build", CARTONS, "--out", tmp_path / "out", "--layers", layers)
    assert outcome.code == 2
    assert "layer 'CUT'" in outcome.err
    assert not (tmp_path / "out").exists()
