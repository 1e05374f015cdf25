"""Levers that are choices: another device of the catalogue, the lightest first, for none has a price."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any, Literal

from mountgen.catalogue.head_stack import HeadStack, stack_of
from mountgen.catalogue.reader import Catalogue, Kind
from mountgen.catalogue.records import Controller, Encoder, Head, Sensor
from mountgen.checks.records import Check
from mountgen.remedies.records import Lever, Trial
from mountgen.study import Study

Device = Literal["head", "sensor", "encoder", "controller"]
KINDS: dict[Device, Kind] = {
    "head": "heads",
    "sensor": "sensors",
    "encoder": "encoders",
    "controller": "controllers",
}
WORDS = {"head": "print head", "sensor": "photo-eye", "encoder": "encoder", "controller": "controller"}

WITHOUT = 2.0
"""What it costs to do without a device, beside taking another."""


def another(device: Device) -> Callable[[Study, Check], Iterator[Lever]]:
    """Every other device of its kind."""

    def levers(study: Study, _: Check) -> Iterator[Lever]:
        survey = study.survey
        present = getattr(survey, device)
        if present is None:
            return
        others = [one for one in _all(study.scene.catalogue, device) if one.name != present.name]
        others.sort(key=lambda one: (one.mass_kg, one.name))

        def at(number: int) -> Trial:
            one = others[number - 1]
            if isinstance(one, Head) and isinstance(present, HeadStack):
                one = stack_of(one, present.count, present.pitch)
            text = f"take another {WORDS[device]}: {one.name} ({one.title})"
            changed: dict[str, Any] = {device: one}
            return Trial(replace(survey, **changed), text, 1.0, one.name)

        if others:
            yield Lever(f"{device}.device", "another", "", 1.0, len(others), at, graded=False)

    return levers


def _all(catalogue: Catalogue, device: Device) -> list[Head | Sensor | Encoder | Controller]:
    read = getattr(catalogue, device)
    return [read(name) for name in catalogue.names(KINDS[device])]


def no_encoder(study: Study, _: Check) -> Iterator[Lever]:
    """Print by time instead."""
    survey = study.survey
    text = "do without the encoder and print by time, which asks for a steady speed"

    def at(_: int) -> Trial:
        return Trial(replace(survey, encoder=None), text, 1.0, "none")

    if survey.encoder is not None:
        yield Lever("encoder", "none", "", 1.0, 1, at, graded=False, cost=WITHOUT)
