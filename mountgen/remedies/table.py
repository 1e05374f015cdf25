"""Which levers could act on which check; what costs least stands first where the order decides."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType

from mountgen.checks.records import Check
from mountgen.remedies import line, products, setting
from mountgen.remedies.devices import another, no_encoder
from mountgen.remedies.records import Lever
from mountgen.study import Study

Builder = Callable[[Study, Check], Iterator[Lever]]

_HEAD, _EYE, _ENCODER, _CONTROLLER = (another(one) for one in ("head", "sensor", "encoder", "controller"))
_SPREAD = (
    setting.finer_setting,
    setting.other_target,
    line.less_play,
    products.less_bulge,
    products.less_skew,
    products.sooner_codes,
    products.closer_widths,
    products.closer_heights,
    products.closer_places,
    products.leave_out,
)
_PASSING = (line.moved_keepouts, line.other_print_line)
_STIFF = (_HEAD, products.nearer_codes, line.near_guide, products.leave_out)
_RAIL = (line.shorter_span, *_STIFF)
GENERAL: tuple[Builder, ...] = (line.other_print_line, products.leave_out, _HEAD)
"""For a check that has no line in the table."""

_ROOM = (
    line.moved_keepouts,
    line.lower_guide,
    line.thinner_guide,
    line.near_guide,
    line.opening,
    line.other_print_line,
    _HEAD,
)
LEVERS: Mapping[str, tuple[Builder, ...]] = MappingProxyType(
    {
        "reach_up_down": (products.lower_codes, products.raise_codes, products.leave_out),
        "reach_in_out": (products.nearer_codes, line.near_guide, products.leave_out),
        "pose_allowed": (_HEAD,),
        "print_height": (products.smaller_codes, _HEAD, products.leave_out),
        "lowest_code": (products.raise_codes, line.lower_guide, line.opening, _HEAD, products.leave_out),
        "standoff_worst": _SPREAD,
        "standoff_rss": _SPREAD,
        "standoff_share": _SPREAD,
        "product_clearance": (
            line.near_guide,
            products.flatter_tops,
            products.less_bulge,
            _HEAD,
            products.leave_out,
        ),
        "between_guides": (line.far_guide, line.near_guide, products.leave_out),
        "guide_clearance": (
            line.opening,
            line.lower_guide,
            line.thinner_guide,
            line.near_guide,
            products.raise_codes,
        ),
        "guide_opening": (line.opening, line.lower_guide, _EYE, _HEAD, products.leave_out),
        "frame_clearance": (
            *_PASSING,
            products.raise_codes,
            line.near_guide,
            _HEAD,
            products.leave_out,
        ),
        "free_stretch": (line.free_more, line.other_print_line, setting.other_eye_distance, _ENCODER),
        "encoder_place": (line.near_guide, _ENCODER, no_encoder),
        "sensor_upstream": (setting.other_eye_distance, line.slower, _EYE),
        "sensor_range": (setting.other_eye_distance, _CONTROLLER),
        "sensor_sees_all": (
            products.raise_codes,
            products.nearer_codes,
            setting.other_target,
            _EYE,
            products.leave_out,
        ),
        "eye_range": (line.far_guide, _EYE),
        "beam_clear": (line.lower_guide, setting.other_eye_distance, _EYE),
        "eye_bracket": (setting.other_eye_distance, *_PASSING, _EYE),
        "eye_background": (_EYE,),
        "eye_look": (_EYE,),
        "next_product": (
            products.wider_gaps,
            setting.other_eye_distance,
            line.slower,
            _EYE,
            _CONTROLLER,
        ),
        "encoder_divider": (line.slower, _ENCODER, _CONTROLLER, no_encoder),
        "print_length": (_ENCODER, no_encoder),
        "column_rate": (line.slower, _HEAD),
        "sag": _STIFF,
        "handling": (setting.other_target, *_STIFF),
        "first_frequency": (line.slower, *_STIFF),
        "resonance": (line.slower, line.other_drive, *_STIFF),
        "vibration_print": (line.slower, line.other_drive, *_STIFF),
        "bolt_slip": (setting.rougher_faces, *_STIFF),
        "bolt_strength": _STIFF,
        "thread_engagement": _STIFF,
        "tnut_slip": (setting.rougher_faces, *_STIFF),
        "web_stress": _STIFF,
        "web_rotation": _STIFF,
        "rail_torsion": _RAIL,
        "tip_over": _STIFF,
        "stand_slides": (_HEAD,),
        "anchor": _STIFF,
        "first_time_fit": (setting.finer_drilling, setting.finer_cutting),
        "sheet_rules": (line.measured_rail, _HEAD, *GENERAL[:1]),
        "edge_distance": (_HEAD, line.measured_rail),
        "rail_face": (line.measured_rail,),
        "rail_nuts": (),
        "washdown": (),
        "upper_code": (products.lower_codes, products.leave_out),
        "clamp_pinch": _STIFF,
        "clamp_room": _PASSING,
        "rail_holes": (*_PASSING, line.measured_rail),
        "tool_access": _ROOM,
        "assembly_order": _ROOM,
    }
)
"""The levers of a check by its id. None acts on rivet nuts or T-nuts: they are the rail's own matter."""


def levers_for(study: Study, check: Check) -> Iterator[Lever]:
    """Every lever that could act on a check of this study."""
    for builder in LEVERS.get(check.id, GENERAL):
        yield from builder(study, check)
