"""Where post, controller and encoder stand, as far as the survey alone decides it; mm, working view."""

from __future__ import annotations

import math

from mountgen.catalogue.records import Encoder, Extrusion
from mountgen.layout import rules
from mountgen.layout.clamp import stands_over
from mountgen.layout.rail_mast import rail_out
from mountgen.survey.records import Survey

CLAMP_CLEAR = 3.0
"""mm more from rail to post: a clamp's thick leg needs more between its bend and the post's screws."""


def post_face_y(survey: Survey) -> float:
    """y of the post's face that looks to the line, whatever its size."""
    return -(rail_out(survey) + rules.POST_CLEAR + (CLAMP_CLEAR if survey.is_clamped else 0.0))


def post_y(survey: Survey, post: Extrusion) -> float:
    return post_face_y(survey) - post.size / 2


def controller_low(survey: Survey) -> float:
    """z of the controller's lower edge: above the encoder, so that a key reaches its screws."""
    foot_top = survey.rail.top_above_surface + stands_over(survey)
    if survey.encoder is None:
        return foot_top + 15.0 + rules.CONTROLLER_EARS
    radius, half = wheel_radius(survey.encoder), survey.encoder.body_diameter / 2
    above = [foot_top + 7.0, radius + half]
    if stands_over(survey):
        above.append(encoder_pivot_z(survey, survey.encoder) + rules.ENCODER_BRACKET_HALF)
    return max(above) + 8.0 + rules.CONTROLLER_EARS


def wheel_radius(encoder: Encoder) -> float:
    return encoder.wheel_circumference / (2 * math.pi)


def encoder_pivot_z(survey: Survey, encoder: Encoder) -> float:
    """z of the pivot of the encoder's arm: level with the wheel's axle where the bracket clears the rail."""
    foot_top = survey.rail.top_above_surface + stands_over(survey)
    return max(wheel_radius(encoder), foot_top + rules.CLEAR + rules.ENCODER_BRACKET_HALF)
