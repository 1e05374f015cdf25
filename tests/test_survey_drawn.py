"""Surveys whose rail is a drawing beside them."""

from pathlib import Path

import ezdxf
import pytest
from shops import SHOP

from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.sections import rail_outline
from mountgen.errors import SurveyError
from mountgen.study import study
from mountgen.survey.reader import read_survey

CATALOGUE = Catalogue()
EXAMPLE = (Path(__file__).parents[1] / "profiles/surveys/seed-cartons.toml").read_text(encoding="utf-8")
PROFILE = 'profile = "channel-formed-120x40x2.5"'


def with_drawing(folder: Path, keys: str = 'file = "rail.dxf"', unit: int = 4) -> Path:
    """The carton survey with its rail drawn as one polyline, moved off the origin."""
    outline = rail_outline(CATALOGUE.channel("channel-formed-120x40x2.5"))
    drawing = ezdxf.new(units=unit)
    points = [(v.x + 300.0, v.y - 40.0, v.bulge) for v in outline.vertices]
    drawing.modelspace().add_lwpolyline(points, format="xyb", close=True)
    drawing.saveas(folder / "rail.dxf")
    path = folder / "survey.toml"
    path.write_text(EXAMPLE.replace(PROFILE, keys), encoding="utf-8")
    return path


def test_a_drawn_rail_carries_the_mount_of_the_same_profile(tmp_path: Path) -> None:
    drawn = study(read_survey(with_drawing(tmp_path), CATALOGUE), CATALOGUE, SHOP)
    (tmp_path / "named.toml").write_text(EXAMPLE, encoding="utf-8")
    named = study(read_survey(tmp_path / "named.toml", CATALOGUE), CATALOGUE, SHOP)
    assert (drawn.verdict, named.verdict) == ("feasible", "feasible")
    holes = [[(h.x, h.z, h.diameter) for h in made.detail.rail_holes] for made in (drawn, named)]
    for one, other in zip(*holes, strict=True):
        assert one == pytest.approx(other, abs=0.05)


def test_the_hash_changes_with_the_drawing(tmp_path: Path) -> None:
    path = with_drawing(tmp_path)
    before = read_survey(path, CATALOGUE).source_sha256
    (tmp_path / "rail.dxf").write_text((tmp_path / "rail.dxf").read_text() + "\n", encoding="utf-8")
    assert read_survey(path, CATALOGUE).source_sha256 != before


@pytest.mark.parametrize(
    ("keys", "unit", "told"),
    [
        ('file = "nowhere.dxf"', 4, "nowhere.dxf"),
        ('file = "rail.dxf"', 0, "names no unit"),
        ('file = "rail.dxf"\nlayer = "elsewhere"', 4, "elsewhere"),
    ],
)
def test_what_is_wrong_with_a_drawing_is_a_fault_of_the_survey(
    tmp_path: Path, keys: str, unit: int, told: str
) -> None:
    with pytest.raises(SurveyError, match=told):
        read_survey(with_drawing(tmp_path, keys, unit), CATALOGUE)


def test_the_survey_can_give_the_drawings_unit(tmp_path: Path) -> None:
    path = with_drawing(tmp_path, 'file = "rail.dxf"\nunits = "mm"', unit=0)
    assert read_survey(path, CATALOGUE).rail.section.depth == pytest.approx(120.0)


def test_faults_of_drawing_and_survey_come_together(tmp_path: Path) -> None:
    path = with_drawing(tmp_path, 'file = "nowhere.dxf"')
    path.write_text(path.read_text().replace('device = "head-50"', 'device = "haed-50"'), encoding="utf-8")
    with pytest.raises(SurveyError) as caught:
        read_survey(path, CATALOGUE)
    assert len(caught.value.faults) == 2
