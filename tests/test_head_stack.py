"""Several heads on one bracket: where they are, what they weigh, and what the survey must say."""

from __future__ import annotations

from pathlib import Path

import pytest
from shops import SHOP

from mountgen.catalogue.head_stack import HeadStack, stack_of
from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.demand import working_view
from mountgen.errors import SurveyError
from mountgen.study import Study, study
from mountgen.survey.reader import read_survey
from mountgen.survey.setting import read_settings

CATALOGUE = Catalogue()
CARTONS = profiles_folder() / "surveys" / "seed-cartons.toml"
TALL = ("product.height=300", "product.code.above_base=60", "product.code.size=[60, 12]")
PITCH = 120.0
PAIR = ("head.device=head-25", "head.count=2", f"head.pitch={PITCH:g}")


def made(*settings: str, path: Path = CARTONS) -> Study:
    return study(read_survey(path, CATALOGUE, read_settings((*TALL, *settings))), CATALOGUE, SHOP)


@pytest.fixture(scope="module")
def pair() -> Study:
    return made(*PAIR)


@pytest.fixture(scope="module")
def single() -> Study:
    return made("head.device=head-25")


def test_a_pair_is_two_like_heads_a_pitch_apart(pair):
    heads = [i for i in pair.detail.instances if i.name.startswith("print head")]
    assert [one.name for one in heads] == ["print head", "print head 2"]
    assert heads[0].part == heads[1].part
    low, high = (one.placement.origin for one in heads)
    assert high == pytest.approx((low[0], low[1], low[2] + PITCH))
    assert pair.detail.quantity(heads[0].part) == 2


def test_every_head_has_its_screws_in_the_bracket(pair, single):
    def screws(study: Study, name: str) -> int:
        return sum(joint.members[-1].instance == name for joint in study.detail.joints)

    each = screws(single, "print head")
    assert each == len(single.survey.head.pattern) > 0
    assert (screws(pair, "print head"), screws(pair, "print head 2")) == (each, each)


def test_the_frame_carries_both(pair, single):
    """The weight on the foot grows by one head at least; the bracket's plate grows, too."""
    more = single.scene.structure.poses[0].foot_force[2] - pair.scene.structure.poses[0].foot_force[2]
    assert more > CATALOGUE.head("head-25").mass_kg * 9.81


def test_the_upper_code_must_be_on_the_product(pair):
    """300 mm of carton, the lower code from 60 to 72 mm, the upper 120 mm over it: 108 mm are left."""
    upper = next(check for check in pair.checks if check.id == "upper_code")
    assert upper.value == pytest.approx(300.0 - (60.0 + PITCH + 12.0))
    low = made(*PAIR, "product.height=185")
    assert next(check for check in low.checks if check.id == "upper_code").verdict == "fail"


def test_each_has_its_own_cable(pair):
    assert [cable.number for cable in pair.detail.cables if cable.own] == ["W01", "W04"]


def test_a_mirrored_pair_is_mirrored_head_by_head():
    flipped = working_view(
        read_survey(CARTONS, CATALOGUE, read_settings((*TALL, *PAIR, "line.flow=right_to_left")))
    )
    head = flipped.head
    assert isinstance(head, HeadStack)
    real = CATALOGUE.head("head-25")
    assert (head.single.x_before, head.single.x_after) == (real.x_after, real.x_before)
    assert head.pattern[: len(real.pattern)] == head.single.pattern


def test_one_head_stays_itself():
    head = CATALOGUE.head("head-25")
    assert stack_of(head, 1, 50.0) is head


@pytest.mark.parametrize(
    ("settings", "found"),
    [
        (("head.count=2",), "no key 'pitch'"),
        (("head.count=2", "head.pitch=80"), "head.pitch is 80 mm"),
        (("head.pitch=200",), "though there is one head"),
        (("head.count=4", "head.pitch=200"), "head.count is 4"),
    ],
)
def test_what_cannot_be_stacked_is_refused(settings, found):
    with pytest.raises(SurveyError) as caught:
        made(*settings)
    assert found in str(caught.value)
