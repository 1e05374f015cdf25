"""A stiff post on a web turns as the web does."""

import pytest

from mountgen.mechanics.frame import Bar, Frame, LoadCase, Member, NodalLoad, Node
from mountgen.mechanics.frame_solve import solve_static
from mountgen.mechanics.plates import Patch, PatchLoad, Web, patch_response
from mountgen.mechanics.web_support import web_support

STIFF = Bar(1e9, 1e12, 1e12, 1e12, 2e5, 8e4)
RESPONSE = patch_response(Web(100.0, 600.0, 2.5, 210000.0, 0.3), Patch(60.0, 50.0, 50.0))
NODES = (Node("foot", (0.0, 0.0, -50.0)), Node("top", (0.0, 0.0, 250.0)))
POST = Frame(
    NODES, (Member("post", "foot", "top", STIFF, up=(1.0, 0.0, 0.0)),), (web_support("foot", RESPONSE),)
)


def test_push_at_the_top_tilts_and_presses_the_web():
    top = solve_static(POST, LoadCase((NodalLoad("top", force=(0.0, 20.0, 0.0)),))).at("top")
    travel, tilt, _ = RESPONSE.motion(PatchLoad(force=20.0, tilt_couple=20.0 * 300.0))
    assert top[1] == pytest.approx(travel + 300.0 * tilt, rel=1e-4)
    assert top[3] == pytest.approx(-tilt, rel=1e-4)


def test_push_along_the_rail_does_not_turn_the_web():
    """In its own plane the web is rigid."""
    top = solve_static(POST, LoadCase((NodalLoad("top", force=(20.0, 0.0, 0.0)),))).at("top")
    assert top == pytest.approx([0.0] * 6, abs=1e-6)


def test_couple_about_the_upright_swings_the_web():
    top = solve_static(POST, LoadCase((NodalLoad("top", couple=(0.0, 0.0, 700.0)),))).at("top")
    assert top[5] == pytest.approx(RESPONSE.motion(PatchLoad(swing_couple=700.0))[2], rel=1e-4)
