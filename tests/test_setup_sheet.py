"""The installer's sheet: tools, steps, numbers, limits and advice, told as the mount has them."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from drawing_samples import mount

from mountgen.assembly.apart import members_of, stands
from mountgen.geometry import Box
from mountgen.layout.setup import line_limits
from mountgen.package.setup_picture import distance_picture
from mountgen.package.setup_picture_steps import Drawn, back_to_front, step_picture
from mountgen.package.setup_sheet import set_up_data
from mountgen.package.setup_sheet_advice import aligning, faults, maintenance, spares, wiring
from mountgen.package.setup_sheet_numbers import controller_numbers, limit_rows
from mountgen.package.setup_sheet_steps import step_blocks
from mountgen.package.setup_sheet_tools import tools
from mountgen.package.setup_sheet_words import torque_text
from mountgen.package.svg import NARROW
from mountgen.units import format_length, format_speed
from mountgen.views import ISOMETRIC, project

SURVEYS = ("seed-cartons", "compost-sacks", "seed-trays-inch")


def without_encoder(dossier):
    setup = replace(dossier.setup, encoder_divider=None, counts_per_mm=None)
    return replace(dossier, setup=setup, survey=replace(dossier.survey, encoder=None))


def fixed(dossier, kind: str):
    """The dossier with its rail nuts of another kind."""
    instances = tuple(
        replace(i, name=i.name.replace(" nut", f" {kind}")) if re.fullmatch(r"R\d nut", i.name) else i
        for i in dossier.detail.instances
    )
    return replace(dossier, detail=replace(dossier.detail, instances=instances))


@pytest.mark.parametrize("name", SURVEYS)
def test_every_key_of_a_joint_is_among_the_tools_and_no_other(name):
    dossier = mount(name)
    told = {
        row[0].removeprefix("hex key ").removesuffix(", straight")
        for row in tools(dossier)
        if "hex key" in row[0]
    }
    assert told == {joint.key for joint in dossier.detail.joints if joint.key}
    for row in tools(dossier):
        if "hex key" in row[0]:
            key = row[0].removeprefix("hex key ").removesuffix(", straight")
            listed = set(row[1].removeprefix("joints ").split(", "))
            assert listed == {joint.id for joint in dossier.detail.joints if joint.key == key}


def test_spanners_are_for_nuts_that_turn():
    """M6 nuts of ISO 4032 are 10 mm across flats; nuts that are set in their part need none."""
    spanner = {row[0]: row[1] for row in tools(mount()) if row[0].startswith("spanner")}
    assert spanner["spanner 10 mm"] == "nuts of joints R1, R2, R3, R4, T1, T2, N3"
    riveted = {row[0]: row[1] for row in tools(fixed(mount(), "rivet nut")) if row[0].startswith("spanner")}
    assert not any("R1" in joints for joints in riveted.values())


def test_nothing_is_asked_for_that_this_mount_does_not_need():
    whole = str(tools(mount()))
    assert "drill 7.0 mm" in whole and "centre punch" in whole and "pliers" in whole
    plain = replace(mount(), detail=replace(mount().detail, rail_holes=()))
    assert not any(word in str(tools(plain)) for word in ("drill", "punch", "deburring", "setting tool"))
    assert "pliers" not in str(tools(without_encoder(mount())))


def test_the_torque_wrench_spans_every_torque():
    dossier = mount()
    torques = [joint.torque_nm for joint in dossier.detail.joints if joint.torque_nm]
    [row] = [row for row in tools(dossier) if row[0].startswith("torque wrench")]
    assert torque_text(min(torques), dossier.survey) in row[0]
    assert torque_text(max(torques), dossier.survey) in row[0]


@pytest.mark.parametrize("name", SURVEYS)
def test_every_joint_is_tightened_in_one_step_with_its_torque(name):
    dossier = mount(name)
    told = [sentence for block in step_blocks(dossier) for sentence in block["lines"]]
    for joint in dossier.detail.joints:
        if joint.torque_nm:
            [sentence] = [
                s for s in told if re.search(rf"\b{joint.id}\b[^.;]*\({re.escape(joint.title)}\)", s)
            ]
            assert torque_text(joint.torque_nm, dossier.survey) in sentence
            assert f"key {joint.key}" in sentence


def test_t_nuts_are_listed_in_the_order_in_which_they_go_in():
    """Along the post from its lower end: the lowest joint first on every face."""
    dossier = mount()
    heights = {joint.id: joint.point[2] for joint in dossier.detail.joints}
    [line] = [s for block in step_blocks(dossier) for s in block["lines"] if "from the lower end on" in s]
    faces = [part.split(" face ")[1].rstrip(".").split(", ") for part in line.split(": ")[1].split("; ")]
    assert sorted(id_ for face in faces for id_ in face) == sorted(
        j.id for j in dossier.detail.joints if j.members[-1].instance == "post"
    )
    assert all(face == sorted(face, key=heights.get) for face in faces)


def test_a_step_shows_its_parts_their_fasteners_and_what_holds_them():
    dossier = mount()
    for step in dossier.steps:
        shown = stands(dossier.detail, step)
        assert set(step.instances) <= shown.keys()
        for joint in step.fastenings:
            assert {i.name for i in dossier.detail.instances if i.joint == joint} <= shown.keys()
            assert (
                members_of(dossier.detail, joint) & {i.name for i in dossier.detail.instances} <= shown.keys()
            )


def test_on_the_line_a_piece_stands_back_along_its_way_in():
    dossier = mount()
    for step in dossier.steps:
        if step.on_bench:
            continue
        shown, move = stands(dossier.detail, step), step.moves[-1]
        for name in step.pieces[-1]:
            assert shown[name] == tuple(-60.0 * c for c in move.direction)
        mates = {n for j in step.fastenings for n in members_of(dossier.detail, j)} - set(step.instances)
        assert all(shown[name] == (0.0, 0.0, 0.0) for name in mates if name in shown)


@pytest.mark.parametrize("name", SURVEYS)
def test_every_step_has_a_picture_within_its_frame(name):
    dossier = mount(name)
    for step in dossier.steps:
        svg = step_picture(dossier.detail, step, dossier.pictures.alone)
        numbers = [
            float(n)
            for points in re.findall(r'points="([^"]+)" fill="#fff"', svg)
            for n in re.split("[ ,]", points)
        ]
        assert numbers
        assert min(numbers) >= 0.0
        assert max(numbers[0::2]) <= 58.0 and max(numbers[1::2]) <= 46.0


def drawn(low, size) -> Drawn:
    box = Box(low, tuple(a + b for a, b in zip(low, size, strict=True)))
    return Drawn(project(low, *ISOMETRIC), (box,), (), NARROW)


def test_what_is_nearer_to_the_eye_is_drawn_later():
    """The eye is at the right, in front and above: a long low plate before what stands on it, and so on."""
    plate = drawn((0.0, 0.0, 0.0), (200.0, 200.0, 5.0))
    block = drawn((10.0, 150.0, 5.0), (20.0, 20.0, 20.0))
    front = drawn((10.0, -30.0, -40.0), (20.0, 20.0, 60.0))
    assert back_to_front([front, block, plate]) == [2, 1, 0]
    assert back_to_front([plate, block, front]) == [0, 1, 2]


@pytest.mark.parametrize("name", SURVEYS)
def test_the_numbers_are_those_of_the_set_up(name):
    dossier = mount(name)
    rows = {row[0]: row[1] for row in controller_numbers(dossier)}
    setup, survey = dossier.setup, dossier.survey
    assert rows["Photo-eye to nozzles (A)"] == format_length(setup.sensor_to_nozzle_mm, survey.units)
    assert rows["Encoder divider"] == str(setup.encoder_divider)
    assert rows["Resolution along the flow"] == f"{setup.resolution_dpi:.1f} dpi"
    assert survey.line.flow.replace("_", " ") in rows["Direction of flow"]
    limits = line_limits(survey, setup)
    told = {row[0]: row[1:] for row in limit_rows(dossier)}
    assert told[f"Top speed (the {limits.slowest_part} sets it)"][0] == format_speed(
        limits.top_speed, survey.units
    )
    assert told["Shortest gap for the trigger"][0] == format_length(limits.least_seen, survey.units)
    assert f"here {limits.waiting} at" in told["Products between photo-eye and print"][1]


def test_without_an_encoder_the_sheet_tells_what_a_change_of_speed_does():
    dossier = without_encoder(mount())
    [row] = [row for row in controller_numbers(dossier) if row[0] == "Fixed speed, no encoder"]
    assert row[1] == "30.0 m/min"
    assert "33.0 m/min" in row[2] and "10 % longer" in row[2]
    assert "Place of the print" not in str(limit_rows(dossier))
    assert "measuring wheel" not in str(maintenance(dossier))
    assert any("length printed / length meant" in row[2] for row in faults(dossier))
    assert any("length meant / length printed" in row[2] for row in faults(mount()))


def test_the_picture_shows_what_the_numbers_measure_to_scale():
    """A, B and D on one height: their spans on paper are as their lengths."""
    for name in SURVEYS:
        dossier = mount(name)
        svg = distance_picture(dossier.survey, dossier.setup)
        code = next(iter(dossier.survey.products)).code
        lines = re.findall(r'<line x1="([\d.]+)" y1="24" x2="([\d.]+)" y2="24"', svg)
        spans = [abs(float(a) - float(b)) for a, b in lines]
        lengths = [dossier.setup.sensor_to_nozzle_mm, code.from_leading, code.size[0]]
        ratios = [span / length for span, length in zip(spans, lengths, strict=True)]
        assert ratios == pytest.approx([ratios[0]] * 3, rel=1e-3)
        assert f"delay {format_length(dossier.setup.products[0].delay_mm, dossier.survey.units)}" in svg


def test_the_picture_follows_the_flow():
    dossier = mount()
    other = replace(dossier.survey, line=replace(dossier.survey.line, flow="right_to_left"))
    places = []
    for survey in (dossier.survey, other):
        svg = distance_picture(survey, dossier.setup)
        x = {n: float(re.search(rf'<text x="([\d.]+)"[^>]*>{n}<', svg)[1]) for n in ("photo-eye", "nozzles")}
        places.append(x["nozzles"] - x["photo-eye"])
    assert places[0] > 0 > places[1]
    assert places[0] == pytest.approx(-places[1])


def test_advice_names_this_mounts_own_numbers():
    dossier = mount()
    assert "127.0 mm of height" in wiring(dossier)[0]  # post scale from 215 to 342 mm
    assert "3000.0 mm" in wiring(dossier)[0]
    assert "screw R1" in wiring(dossier)[2]
    assert "2.0 mm must pass and 4.5 mm must not" in aligning(dossier)[0]
    assert "525000 counts" in str(maintenance(dossier))  # 105 counts a mm on 5 m
    torqued = {j.id for j in dossier.detail.joints if j.torque_nm}
    named = {id_ for row in maintenance(dossier) for id_ in re.findall(r"\b[A-Z]\d+\b", row[1])}
    assert torqued <= named
    assert {"photo-eye", "encoder", "measuring wheel"} <= {row[1] for row in spares(dossier)}


def test_the_sheet_keeps_the_trades_order_of_commissioning():
    steps = " ".join(set_up_data(mount())["steps"])
    words = ("earthed supply", "first head port", "photo-eye and encoder", "Disable the print trigger")
    words += ("post scale", "from the beam to the nozzle column", "Enter the settings", "cartridge", "Prime")
    words += ("lint-free", "enable the trigger", "test print", "Nip up")
    places = [steps.index(word) for word in words]
    assert places == sorted(places)


def test_a_wheel_that_fits_is_named_when_lengths_are_off():
    """The sacks: 21000 counts a turn, 180 columns an inch by 15: 21000 x 25.4 / 2700 = 197.56 mm."""
    [row] = [row for row in controller_numbers(mount("compost-sacks")) if row[0].startswith("Resolution")]
    assert "off +1.24 %" in row[2]
    assert "a wheel of 197.56 mm circumference" in row[2]
    assert "circumference" not in str(
        [row for row in controller_numbers(mount()) if row[0].startswith("Resolution")]
    )


def test_the_off_delay_is_told_as_travel_below_the_shortest_gap():
    """A time would be another travel at another speed, and print twice on a slow line."""
    told = {row[0]: row[1:] for row in limit_rows(mount())}
    assert told["Off-delay of the photo-eye, as travel"][0] == "less than 250.0 mm"
