"""The file of measured values as it is written: its tables, keys and plausible ranges."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from mountgen.files.values import Label, Table, length_within, quantity_within, refuse_truth
from mountgen.units import TIME, Measured, System

Place = Annotated[Measured, length_within(-20_000, 20_000)]
Zero = Annotated[Measured, length_within(-500, 500)]
Gap = Annotated[Measured, length_within(0, 500)]
Reading = Annotated[Measured, length_within(-500, 5_000)]
Travel = Annotated[Measured, length_within(50, 1_000_000)]
Counts = Annotated[int, BeforeValidator(refuse_truth), Field(ge=1, le=10**9)]


class RawHole(Table):
    tag: Label = Field(description='the hole\'s tag on the drill template, such as "R1"')
    x: Place = Field(description="from the print line, to the right of it positive")
    below_top: Place = Field(description="below the rail's top edge")


class RawScales(Table):
    post_zero: Zero | None = Field(
        None, description="how far above the post's lower end the post scale's strip begins"
    )
    arm_zero: Zero | None = Field(
        None, description="how far from the arm's end, towards the line, the arm scale's strip begins"
    )


class RawGap(Table):
    product: Label = Field(description="the product at which the stand-off was measured")
    gap: Gap = Field(description='middle of the nozzle column to product, such as "4.1 +/- 0.1 mm"')
    to: Literal["product", "straight edge"] = Field(
        "product", description='measured to a "product" or to a "straight edge" in its place'
    )
    post: Reading | None = Field(None, description="the post scale's reading then, where not the sheet's")
    arm: Reading | None = Field(None, description="the arm scale's reading then, where not the sheet's")


class RawEye(Table):
    distance: Annotated[Measured, length_within(1, 20_000)] = Field(
        description="from the photo-eye's beam to the nozzles"
    )


class RawRun(Table):
    length: Travel | None = Field(None, description="how far the line ran")
    time: Annotated[float, quantity_within(TIME, "s", 0.5, 36_000)] | None = Field(
        None, description='how long that took by a stopwatch, such as "10.2 s"'
    )
    counts: Counts | None = Field(None, description="what the encoder counted meanwhile")


class RawMeasured(Table):
    """The whole file."""

    schema_: Annotated[Literal[1], BeforeValidator(refuse_truth)] = Field(
        alias="schema", description="the version of the file's form: schema = 1"
    )
    units: System | None = Field(None, description='the unit of bare numbers: "mm" or "in"')
    hole: list[RawHole] = Field([], description="tables [[hole]], one a drilled hole")
    scales: RawScales = Field(RawScales(), description="the table [scales]: where the strips begin")
    standoff: list[RawGap] = Field([], description="tables [[standoff]], one a measured stand-off")
    sensor: RawEye | None = Field(None, description="the table [sensor] with the photo-eye's distance")
    run: list[RawRun] = Field([], description="tables [[run]]: how far, how long, how many counts")
