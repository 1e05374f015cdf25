"""Photo-eye, encoder and column rate: does the print start where it should, and can the head keep up."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from mountgen.checks.eyes import beam_inside
from mountgen.checks.records import Check, Subject, at_least, at_most
from mountgen.checks.scene import Scene
from mountgen.layout.setup import encoder_choice, set_up
from mountgen.mechanics.timing import (
    EncoderTooCoarseError,
    column_rate,
    counts_per_column,
    counts_per_mm,
    encoder_frequency,
    least_eye_distance,
    least_seen_length,
    pending_triggers,
    top_speed,
)

PRACTICE = "common practice"
MOST_LENGTH_ERROR = 2.0
"""% that a printed length may be off (rule of this project)."""


def checks(scene: Scene) -> Iterator[Check]:
    yield _upstream(scene)
    yield _range(scene)
    yield _sees_all(scene)
    yield _next_product(scene)
    if scene.survey.encoder is not None:
        yield from _encoder(scene)
    yield _column_rate(scene)


def eye_distance(scene: Scene) -> float:
    """mm from the beam to the nozzle column, along the flow."""
    return -scene.layout.head.eye_x


def _upstream(scene: Scene) -> Check:
    """The photo-eye is always upstream, by at least what the line travels while it responds."""
    sensor, speed = scene.survey.sensor, scene.survey.line.speed_mm_per_s
    delay = float(least_eye_distance(sensor.response_ms / 1000, speed))
    source = f"{PRACTICE}: the photo-eye is always upstream of the head"
    subject = Subject("sensor_upstream", "photo-eye upstream of the nozzles", "mm", source)
    return at_least(subject, eye_distance(scene), delay, "move the photo-eye {} mm upstream")


def _range(scene: Scene) -> Check:
    controller, distance = scene.survey.controller, eye_distance(scene)
    low, high = controller.sensor_distance_min, controller.sensor_distance_max
    title = "photo-eye to nozzle distance in the controller's range"
    if distance - low < high - distance:
        subject = Subject("sensor_range", title, "mm", controller.source)
        return at_least(subject, distance, low, "move the photo-eye {} mm upstream")
    subject = Subject("sensor_range", title, "mm", controller.source)
    return at_most(subject, distance, high, "move the photo-eye {} mm nearer to the head")


def _sees_all(scene: Scene) -> Check:
    """Sensing distance in the photo-eye's range, and its beam inside the face of every product."""
    if scene.layout.eye is not None:
        return beam_inside(scene, scene.layout.eye)
    survey, head = scene.survey, scene.layout.head
    sensor = survey.sensor
    distance = survey.standoff.target - head.eye_face_n
    far, near = sensor.range_max - distance, distance - sensor.range_min
    beam = _beam_inside(scene)
    least = min(far, near, beam)
    if beam == least:
        subject = Subject("sensor_sees_all", "edge of the beam inside every product", "mm", PRACTICE)
        return at_least(subject, beam, 0.0, "raise the lowest code by {} mm, or take a finer beam")
    subject = Subject("sensor_sees_all", "product inside the photo-eye's sensing range", "mm", sensor.source)
    remedy = "take a photo-eye whose range begins or ends {} mm further"
    return (
        at_least(subject, distance, sensor.range_min, remedy)
        if near == least
        else at_most(subject, distance, sensor.range_max, remedy)
    )


def _beam_inside(scene: Scene) -> float:
    """mm from the beam's edge to the nearest edge of the face that it looks at, over all products."""
    demand, head = scene.demand, scene.layout.head
    radius = scene.survey.sensor.beam_diameter / 2
    height = scene.layout.settings.column_z + head.eye_u
    upright = np.minimum(height, demand.height - height)
    across = demand.column_y + head.eye_u
    downward = np.minimum(across - demand.near_y, demand.far_y - across)
    return float(np.where(demand.tilt_deg < 45.0, upright, downward).min()) - radius


def _next_product(scene: Scene) -> Check:
    """Products between eye and nozzles against the controller's queue; the gap must show as a gap."""
    demand, survey = scene.demand, scene.survey
    pitch = demand.length + demand.gap
    worst = int(np.argmin(pitch))
    waiting = pending_triggers(eye_distance(scene), float(pitch[worst]))
    sensor = survey.sensor
    blind = least_seen_length(survey.line.speed_mm_per_s, sensor.response_ms / 1000, sensor.beam_diameter)
    least_gap = float(demand.gap.min())
    queue = survey.controller.queue_depth
    if waiting <= queue and least_gap - blind < 20.0:
        subject = Subject("next_product", "gap between products against beam and response", "mm", PRACTICE)
        return at_least(subject, least_gap, blind, "space the products {} mm further apart")
    title = f"products on their way from eye to nozzles ({demand.names[worst]!r}) against the queue"
    subject = Subject("next_product", title, "products", survey.controller.source)
    remedy = "move the photo-eye nearer than one product pitch, or take a controller that queues {} more"
    return at_most(subject, float(waiting), float(queue), remedy)


def _encoder(scene: Scene) -> Iterator[Check]:
    survey = scene.survey
    encoder, controller = survey.encoder, survey.controller
    assert encoder is not None
    title = "encoder counts per column"
    counts = counts_per_mm(encoder.pulses_per_turn, encoder.edges_per_pulse, encoder.wheel_circumference)
    per_column = counts_per_column(counts, survey.head.column_dpi)
    subject = Subject("encoder_divider", title, "counts", "arithmetic; controller data")
    try:
        choice = encoder_choice(survey)
    except EncoderTooCoarseError:
        remedy = "take an encoder with {} more counts for each column"
        yield at_least(subject, per_column, 1.0, remedy)
        return
    assert choice is not None
    speed = survey.line.speed_mm_per_s
    frequency = float(encoder_frequency(speed, encoder.wheel_circumference, encoder.pulses_per_turn))
    limit = min(encoder.max_frequency_hz, controller.max_encoder_hz)
    if frequency > limit:
        subject = Subject("encoder_divider", "encoder frequency at top speed", "Hz", encoder.source)
        yield at_most(subject, frequency, limit, "slow the line or take an encoder {} Hz slower")
    else:
        yield at_most(
            subject, float(choice.divider), controller.max_divider, "take an encoder with {} counts fewer"
        )
    error = abs(choice.print_length_error) * 100
    subject = Subject("print_length", "print-length error of the whole divider", "%", "arithmetic")
    yield at_most(subject, error, MOST_LENGTH_ERROR, "take a wheel that divides evenly: {} % too much")


def _column_rate(scene: Scene) -> Check:
    survey = scene.survey
    dpi = set_up(survey, scene.demand, scene.layout).resolution_dpi
    speed = survey.line.speed_mm_per_s
    rate, most = float(column_rate(speed, dpi)), survey.head.max_column_rate_hz
    top = float(top_speed(most, dpi)) * 60 / 1000
    subject = Subject("column_rate", "columns a second at top speed", "Hz", survey.head.source)
    return at_most(subject, rate, most, f"run the line at {top:.1f} m/min at most: {{}} Hz too fast")
