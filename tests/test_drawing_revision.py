"""The revision that a survey states stands on every document that is made from it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from conftest import SURVEYS
from drawing_samples import mount, texts
from shops import SHOP

from mountgen.catalogue.reader import Catalogue
from mountgen.package.cut_sheet import cut_and_drill_sheets
from mountgen.package.drill_template import drill_template
from mountgen.package.drill_template_page import template_pages
from mountgen.package.feasibility import feasibility_page
from mountgen.package.manifest import manifest
from mountgen.package.records import Dossier, Early
from mountgen.package.setup_sheet import set_up_data
from mountgen.study import study
from mountgen.survey.reader import read_survey


def revised(revision: str) -> Dossier:
    return replace(mount(), survey=replace(mount().survey, revision=revision))


def revision_fields(svg: str) -> list[str]:
    """What stands under the captions "Revision" of a sheet."""
    shown = list(texts(svg))
    captions = [t.patch for t in shown if t.role == "caption" and t.text == "Revision"]
    fields = [t for t in shown if t.role == "field"]
    return [
        t.text
        for c in captions
        for t in fields
        if abs(t.patch.low[0] - c.low[0]) < 0.1 and 0 < t.patch.low[1] - c.low[1] < 6
    ]


@pytest.mark.parametrize(("revision", "shown"), [("A", "A"), ("WWWWWWWW", "WWWWWWWW"), ("", "–")])
def test_every_title_block_shows_the_revision_whole(revision, shown):
    sheets = [sheet.svg for sheet in cut_and_drill_sheets(revised(revision))]
    assert len(sheets) > 10
    assert all(revision_fields(svg) == [shown] for svg in sheets)


@pytest.mark.parametrize(("revision", "told"), [("B2", ", revision B2"), ("", "")])
def test_documents_without_a_title_block_say_it_too(revision, told):
    dossier = revised(revision)
    edition = f"with survey {dossier.survey.source_sha256[:8]}{told}"
    assert set_up_data(dossier)["issued"] == edition
    for page in template_pages(drill_template(dossier)):
        assert any(f"issued {edition}, 1:1" in t.text for t in texts(page))
    assert f"from survey {dossier.survey.source_sha256[:8]}{told}. " in feasibility_page(dossier)


@pytest.mark.parametrize("revision", ["A", "2.1"])
def test_the_survey_states_it_and_the_manifest_repeats_it(revision, tmp_path):
    text = (SURVEYS / "seed-cartons.toml").read_text(encoding="utf-8")
    survey = tmp_path / "survey.toml"
    survey.write_text(text.replace("schema = 1", f'schema = 1\nrevision = "{revision}"'), encoding="utf-8")
    found = study(read_survey(survey, Catalogue()), Catalogue(), SHOP)
    assert manifest(found, Early(()), None, None, tmp_path)["revision"] == revision


def test_no_revision_is_none_in_the_manifest(tmp_path):
    found = study(read_survey(SURVEYS / "seed-cartons.toml", Catalogue()), Catalogue(), SHOP)
    assert manifest(found, Early(()), None, None, tmp_path)["revision"] is None
