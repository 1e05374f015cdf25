"""The operator's papers: the changeover sheet, its whole table as CSV, and the strips for the two scales."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cached_property
from io import StringIO
from pathlib import Path

from mountgen.layout.readings import Readings, ScaleZero, arm_zero, post_zero, readings
from mountgen.package.changeover_groups import Group, groups_of
from mountgen.package.mount_words import words_of
from mountgen.study import Study
from mountgen.survey.records import Survey

SHEET, TABLE, STRIPS = "changeover.pdf", "changeover.csv", "scale-strips.pdf"
HEADS = ("Mark", "Product", "Post scale mm", "{} scale mm", "Tilt stop deg", "Sensor mm", "Code delay mm")


@dataclass(frozen=True)
class Changeover:
    """What the papers are written from. `readings` are those of every product, `sensor` is the distance from
    photo-eye to nozzles, mm."""

    survey: Survey
    issued: str
    readings: Readings
    sensor: float
    post_zero: ScaleZero
    arm_zero: ScaleZero
    note: str = ""
    """What must be known before the readings are used, '' for nothing."""

    @cached_property
    def groups(self) -> tuple[Group, ...]:
        """Products by setting, in the order of the sheet."""
        return groups_of(self.readings, self.survey.standoff.setting)


def changeover_of(study: Study, issued: str) -> Changeover:
    """The papers' contents for a mount as designed."""
    layout = study.scene.layout
    return Changeover(
        study.survey,
        issued,
        readings(study.scene.demand, layout),
        study.setup.sensor_to_nozzle_mm,
        post_zero(layout),
        arm_zero(layout),
    )


def write_changeover(folder: Path, plan: Changeover) -> None:
    """Writes the sheet and the table to `folder`."""
    from mountgen.package.changeover_sheet import changeover_pdf

    (folder / SHEET).write_bytes(changeover_pdf(plan))
    (folder / TABLE).write_bytes(changeover_csv(plan).encode("utf-8-sig"))


def write_strips(folder: Path, plan: Changeover) -> None:
    """Writes the strips for both scales to `folder`."""
    from mountgen.package.scale_strip import strips_of
    from mountgen.package.scale_strip_page import strips_pdf

    (folder / STRIPS).write_bytes(strips_pdf(strips_of(plan)))


def changeover_csv(plan: Changeover) -> str:
    """Every product in the order of the sheet; as the fabricator's tables, but what it was made from stands
    in the first row alone: the list may be long."""
    from mountgen.package.tables_csv import harmless

    stream = StringIO()
    writer = csv.writer(stream, quoting=csv.QUOTE_NONNUMERIC)
    arm = words_of(plan.survey).arm.capitalize()
    told = f"Survey {plan.survey.name}, issued {plan.issued}"
    writer.writerow([*(head.format(arm) for head in HEADS), harmless(told)])
    names = plan.readings.names
    for group in plan.groups:
        numbers = [round(n, 3) for n in (group.post, group.arm, group.tilt_deg, plan.sensor, group.delay)]
        writer.writerows([group.mark, harmless(names[row]), *numbers] for row in group.rows.tolist())
    return stream.getvalue()
