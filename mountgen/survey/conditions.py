"""How the line shakes, what joints are worth, how exactly parts are made: from the file's tables to records.

Few surveys measure any of it. What each table leaves out is one assumption, which names the values taken.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from mountgen.survey.raw import RawJoining, RawShaking, RawWork
from mountgen.survey.records import Assumption, Joining, Shaking, Work
from mountgen.units import System, format_length

if TYPE_CHECKING:
    from mountgen.files.values import Table
    from mountgen.mechanics.vibration import Spectrum

PER_METRE = 1000.0
"""N mm/rad in one N m/rad, mm/s2 in one m/s2."""


def shaking(raw: RawShaking, spectrum: Spectrum | None) -> tuple[Shaking, list[Assumption]]:
    """How the line shakes, with the spectrum that the survey names, and what was assumed of it."""
    usual = Shaking()
    given = replace(
        usual,
        rms_mm_per_s2=raw.rms,
        spectrum=spectrum,
        damping=_given(raw.damping, usual.damping),
        impact_speed_mm_per_s=_given(raw.impact_speed, usual.impact_speed_mm_per_s),
        contact_time_s=_given(raw.contact_time, usual.contact_time_s),
    )
    unmeasured = raw.rms is None and raw.spectrum is None
    texts = (
        ("acceleration not measured", unmeasured),
        (f"damping {usual.damping:g}", raw.damping is None),
        (f"a bump at {usual.impact_speed_mm_per_s / PER_METRE:g} m/s", raw.impact_speed is None),
        (f"{usual.contact_time_s * 1000:g} ms long", raw.contact_time is None),
    )
    return given, _note("shaking", texts, "not given in [shaking]; usual for light lines (common practice)")


def joining(raw: RawJoining) -> tuple[Joining, list[Assumption]]:
    """What the joints are worth, and what was assumed of it."""
    usual = Joining()
    given = replace(usual, **_written(raw))
    texts = (
        (f"a plate joint {usual.plate_stiffness / PER_METRE:g} N m/rad", raw.plate_stiffness is None),
        (f"a T-slot joint {usual.tslot_stiffness / PER_METRE:g} N m/rad", raw.tslot_stiffness is None),
        (f"friction {usual.friction:g}", raw.friction is None),
        (f"a hand's {usual.hand_force:g} N", raw.hand_force is None),
    )
    reason = "not given in [joining]; bolted joints of light frames, dry and clean (common practice)"
    return given, _note("joining", texts, reason)


def work(raw: RawWork, units: System) -> tuple[Work, list[Assumption]]:
    """How exactly parts are made and the rail is drilled, and what was assumed of it."""
    usual = Work()
    standard = raw.cut is None or raw.bend_deg is None or raw.saw is None
    texts = (
        ("ISO 2768-1 m", standard),
        (f"bend lines +/- {format_length(usual.bend_line, units)}", raw.bend_line is None),
        (f"sawn ends +/- {usual.saw_square_deg:g} deg", raw.saw_square_deg is None),
        (f"drilled holes +/- {format_length(usual.drill, units)}", raw.drill is None),
    )
    reason = "not given in [work]; a workshop's usual limits, the rail drilled by hand (common practice)"
    return replace(usual, **_written(raw)), _note("work", texts, reason)


def _given(value: float | None, usual: float) -> float:
    return usual if value is None else value


def _written(raw: Table) -> dict[str, float]:
    """The keys that the file gives."""
    return {key: value for key, value in raw if value is not None}


def _note(key: str, texts: Iterable[tuple[str, bool]], reason: str) -> list[Assumption]:
    """One assumption for all that is missing; none when nothing is."""
    missing = [text for text, is_missing in texts if is_missing]
    return [Assumption(key, ", ".join(missing), reason)] if missing else []
