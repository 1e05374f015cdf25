"""Commands that write a file to begin with: a new survey, its form, a rail read from a drawing."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest
from shops import SHOP

from mountgen.catalogue.reader import Catalogue
from mountgen.errors import OutputError
from mountgen.package.folder import safe_name, write_new
from mountgen.study import study
from mountgen.survey.reader import read_survey


@pytest.mark.parametrize("pose", ["near_side", "top"])
def test_a_new_survey_is_feasible_as_it_stands(run, tmp_path: Path, pose: str) -> None:
    file = tmp_path / "line.toml"
    assert run("new", file, "--pose", pose).code == 0
    survey = read_survey(file, Catalogue())
    assert study(survey, Catalogue(), SHOP).verdict == "feasible"
    assert survey.products[0].code.face == pose


def test_the_form_stands_beside_the_survey(run, tmp_path: Path) -> None:
    result = run("new", tmp_path / "line.toml", "--units", "in", "--form")
    assert result.code == 0
    assert (tmp_path / "line.pdf").read_bytes().startswith(b"%PDF-")
    assert str(tmp_path / "line.pdf") in result.out


def test_nothing_is_written_over(run, tmp_path: Path) -> None:
    file = tmp_path / "line.toml"
    file.write_text("mine")
    result = run("new", file)
    assert (result.code, file.read_text()) == (2, "mine")
    assert "there already" in result.err


def drawn_angle(path: Path, unit: int) -> None:
    """An angle 60 x 40 x 3 as six loose lines."""
    drawing = ezdxf.new(units=unit)
    corners = [(0, 0), (60, 0), (60, 3), (3, 3), (3, 40), (0, 40)]
    for start, end in zip(corners, corners[1:] + corners[:1], strict=True):
        drawing.modelspace().add_line(start, end)
    drawing.saveas(path)


def test_a_drawn_rail_gives_a_profile_and_its_pictures(run, tmp_path: Path) -> None:
    drawn_angle(tmp_path / "My rail.dxf", 4)
    result = run("rail", tmp_path / "My rail.dxf", "--out", tmp_path)
    assert result.code == 0
    assert "angle" in result.out and "291" in result.out
    assert 'kind = "drawn"' in (tmp_path / "my-rail.toml").read_text(encoding="utf-8")
    assert (tmp_path / "my-rail.svg").read_text(encoding="utf-8").startswith("<svg")
    assert (tmp_path / "my-rail.png").read_bytes().startswith(b"\x89PNG")


def test_a_drawing_without_a_unit_asks_for_it_by_name(run, tmp_path: Path) -> None:
    drawn_angle(tmp_path / "rail.dxf", 0)
    result = run("rail", tmp_path / "rail.dxf", "--out", tmp_path)
    assert result.code == 2
    assert "--units" in result.err
    assert sorted(path.name for path in tmp_path.iterdir()) == ["rail.dxf"]
    assert run("rail", tmp_path / "rail.dxf", "--units", "mm", "--out", tmp_path).code == 0


def test_a_place_that_cannot_be_written_to(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(OutputError, match="cannot be written"):
        write_new(tmp_path / "file" / "below.toml", b"")


@pytest.mark.parametrize(
    ("stem", "name"), [("My rail (2)", "my-rail-2"), ("../x", "x"), ("Größe", "gr-e"), ("--", "rail")]
)
def test_names_of_profiles_are_safe(stem: str, name: str) -> None:
    assert safe_name(stem) == name
