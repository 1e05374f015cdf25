"""The PDF documents, read back as a person would."""

from __future__ import annotations

import re
from dataclasses import replace
from io import BytesIO

import pytest
from drawing_samples import mount, renamed
from pypdf import PdfReader

from mountgen.detail.records import EndFeature
from mountgen.package.cut_sheet import bar_tables, bill_of_material
from mountgen.package.documents import write_cut_and_drill, write_set_up
from mountgen.package.setup_sheet import set_up_data
from mountgen.package.setup_sheet_advice import commissioning
from mountgen.package.setup_sheet_numbers import MOST_PRODUCTS, product_rows
from mountgen.package.setup_sheet_words import torque_text

MARKUP = '#panic() *b* [c] <d> & $x$ _e_ `f` \\ "g" @h'


def written(write, dossier, tmp_path) -> bytes:
    path = tmp_path / "document.pdf"
    write(path, dossier)
    return path.read_bytes()


def page_texts(data: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(BytesIO(data)).pages]


def fonts(data: bytes) -> list[dict]:
    found = []
    for page in PdfReader(BytesIO(data)).pages:
        resources = [page["/Resources"]]
        while resources:
            resource = resources.pop().get_object()
            found += [font.get_object() for font in resource.get("/Font", {}).values()]
            resources += [
                form.get_object()["/Resources"]
                for form in resource.get("/XObject", {}).values()
                if "/Resources" in form.get_object()
            ]
    return found


@pytest.fixture(scope="module")
def cut_pdf(tmp_path_factory) -> bytes:
    return written(write_cut_and_drill, mount(), tmp_path_factory.mktemp("cut"))


@pytest.fixture(scope="module")
def cut_pages(cut_pdf) -> list[str]:
    return page_texts(cut_pdf)


@pytest.fixture(scope="module")
def set_up_pdf(tmp_path_factory) -> bytes:
    return written(write_set_up, mount(), tmp_path_factory.mktemp("set"))


def test_lists_rail_and_every_sheet_part_have_their_page(cut_pages):
    pages = cut_pages
    detail = mount().detail
    assert len(pages) == 4 + len(detail.extrusions) + len(detail.sheets)
    assert "Lock the line out" in pages[0]
    assert "Assembly drawing" in pages[1]
    assert "Exploded view" in pages[2]
    for bar, page in zip(detail.extrusions, pages[4:6], strict=True):
        assert bar.number in page
        assert f"{bar.length:g}" in page
    for part, page in zip(detail.sheets, pages[6:], strict=True):
        assert part.number in page
        tags = {placed.tag for placed in mount().flats[part.number].holes}
        assert tags <= set(re.findall(r"[A-Z]+[0-9]+", page))
        assert f"{pages.index(page) + 1} of {len(pages)}" in page


def test_the_bill_of_material_names_every_part(cut_pages):
    first = cut_pages[0]
    assert all(number in first for number in mount().detail.parts)


def test_the_rail_page_places_every_hole(cut_pages):
    page, survey = cut_pages[3], mount().survey
    assert "print line" in page
    for hole in mount().detail.rail_holes:
        assert hole.tag in page
        assert f"{hole.x:g}" in page
        assert f"{survey.rail.top_above_surface - hole.z:g}" in page


def test_whole_mass_is_the_sum_of_pieces():
    table = bill_of_material(mount())
    pieces = sum(int(row[5]) * float(row[6]) for row in table.rows[:-1])
    assert float(table.rows[-1][-1]) == pytest.approx(pieces, abs=0.0005 * 200)
    assert sum(int(row[5]) for row in table.rows[:-1]) == len(mount().detail.instances) + len(
        mount().detail.cables
    )


def test_work_on_bars_is_told_from_the_datum_end():
    bar = mount().detail.extrusions[0]
    features = (
        EndFeature("end_tap", bar.length, "M6", 5.0, 16.0, "core"),
        EndFeature("cross_hole", 120.0, "M5", 5.5, 25.0, "+x"),
    )
    bars = (replace(bar, features=features), *mount().detail.extrusions[1:])
    dossier = replace(mount(), detail=replace(mount().detail, extrusions=bars))
    work = bar_tables(dossier)[1]
    assert work.rows[0] == (bar.number, "tap M6, core Ø5", "far end", "core", "16")
    assert work.rows[1] == (bar.number, "drill Ø5.5 for M5", "120 from the datum end", "+x", "25")


def test_set_up_names_every_joint_with_its_torque(set_up_pdf):
    text = " ".join(" ".join(page_texts(set_up_pdf)).split())
    for joint in mount().detail.joints:
        assert joint.id in text
        if joint.torque_nm:
            assert torque_text(joint.torque_nm, mount().survey) in text
    for setting in mount().setup.products:
        assert setting.product in text
    assert text.index("Lock the line out") < text.index("Tools") < text.index("Order of commissioning")


def test_torque_in_pound_force_inches():
    """10 N·m is 88.5 lbf·in (NIST SP 811: 1 lbf·in is 0.112 984 8 N·m)."""
    assert torque_text(10.0, mount("seed-trays-inch").survey) == "10 N·m [89 lbf·in]"
    assert torque_text(10.0, mount().survey) == "10 N·m"


def test_the_scale_that_sets_the_stand_off_follows_the_pose():
    assert any("stand-off by the arm scale" in step for step in commissioning(mount()))
    assert any("stand-off by the post scale" in step for step in commissioning(mount("compost-sacks")))


def test_a_fixed_speed_takes_the_place_of_the_encoder():
    setup = replace(mount().setup, encoder_divider=None, counts_per_mm=None)
    dossier = replace(mount(), setup=setup, survey=replace(mount().survey, encoder=None))
    names = [name for name, *_ in set_up_data(dossier)["numbers"]]
    assert "Fixed speed, no encoder" in names
    assert "Encoder divider" not in names


def test_very_many_products_are_cut_short_and_said_so():
    one = mount().setup.products[0]
    dossier = replace(mount(), setup=replace(mount().setup, products=(one,) * 1000, product_count=1000))
    assert len(product_rows(dossier)) == MOST_PRODUCTS
    assert "And 800 more" in str(set_up_data(dossier)["scales"])


@pytest.mark.parametrize("write", [write_cut_and_drill, write_set_up])
def test_the_same_dossier_gives_the_same_bytes(write, tmp_path):
    assert written(write, mount(), tmp_path) == written(write, mount(), tmp_path)


@pytest.mark.parametrize("write", [write_cut_and_drill, write_set_up])
def test_every_font_is_embedded_and_ours(write, tmp_path):
    found = fonts(written(write, mount(), tmp_path))
    assert found
    for font in found:
        descendant = font["/DescendantFonts"][0].get_object()
        assert "DejaVuSansCondensed" in descendant["/BaseFont"]
        assert "/FontFile2" in descendant["/FontDescriptor"].get_object()


@pytest.mark.parametrize("write", [write_cut_and_drill, write_set_up])
def test_markup_in_a_name_is_shown_as_it_was_written(write, tmp_path):
    named = renamed(mount(), MARKUP)
    text = "".join(page_texts(written(write, named, tmp_path)))
    shown = "".join(text.split())
    assert "#panic()*b*[c]<d>&" in shown
    assert "".join(MARKUP.split()) in shown or write is write_cut_and_drill


@pytest.mark.parametrize("write", [write_cut_and_drill, write_set_up])
def test_what_the_fonts_cannot_show_is_named_by_its_code_point(write, tmp_path):
    text = "".join(page_texts(written(write, renamed(mount(), "Größe 种 🙂\tΩ"), tmp_path)))
    assert "Größe [U+79CD] [U+1F642] Ω" in " ".join(text.split())


def test_documents_are_tagged_and_titled(cut_pdf, set_up_pdf):
    for data in (cut_pdf, set_up_pdf):
        reader = PdfReader(BytesIO(data))
        assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]
        assert mount().survey.name in reader.metadata.title
        assert reader.metadata.creation_date.year == 2000


def test_long_assumptions_keep_their_columns(tmp_path):
    """A long text in one column once squeezed the others to nothing, over three more pages."""
    pages = page_texts(written(write_set_up, mount("compost-sacks"), tmp_path))
    assert len(pages) <= 10
    assert "What another value would do" in " ".join(pages[-1].split())
