"""The shop file as it is written: its tables, keys and plausible ranges."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from mountgen.files.values import FileName, Label, Table, chosen_length_within, number_within, refuse_truth

Thickness = Annotated[float, chosen_length_within(0.3, 40)]
StockLength = Annotated[float, chosen_length_within(50, 20_000)]
Die = Annotated[float, chosen_length_within(2, 500)]
Seconds = Annotated[float, number_within(0, 86_400)]
Money = Annotated[float, number_within(0, 100_000)]
Quantity = Annotated[int, BeforeValidator(refuse_truth), Field(ge=1, le=1_000_000)]


class RawSheet(Table):
    material: Label = Field(description="a material's name, such as 'steel-s235'")
    thicknesses: list[Thickness] = Field(min_length=1, description="thicknesses, such as [2, 3, 4]")
    length: StockLength = Field(description="the sheet's length, along its grain")
    width: StockLength = Field(description="the sheet's width")
    quantity: Quantity | None = Field(None, description="how many there are of each thickness")


class RawBar(Table):
    sections: list[Label] = Field(min_length=1, description="names of extrusions, such as ['tslot-40']")
    length: StockLength = Field(description="the bar's length")
    quantity: Quantity | None = Field(None, description="how many there are of each section")


class RawCutting(Table):
    part_gap: Annotated[float, chosen_length_within(0, 200)] = Field(description="least gap between parts")
    edge_margin: Annotated[float, chosen_length_within(0, 500)] = Field(
        description="least distance from a part to the sheet's edge"
    )


class RawSaw(Table):
    kerf: Annotated[float, chosen_length_within(0, 20)] = Field(description="width of a saw's cut")
    trim: Annotated[float, chosen_length_within(0, 500)] = Field(
        description="what is cut off either end of a bar"
    )


class RawSpeed(Table):
    up_to_thickness: Thickness = Field(description="the thickest sheet cut at this speed")
    speed_mm_per_s: Annotated[float, number_within(0.1, 5_000)] = Field(description="cutting speed, mm/s")
    pierce_s: Seconds = Field(description="seconds for each pierce")


class RawRates(Table):
    source: Label = Field(description="where times and prices come from")
    currency: Label = Field(description="the currency, such as 'EUR'")
    cutting: list[RawSpeed] = Field(min_length=1, description="cutting speeds, [[rates.cutting]]")
    bend_s: Seconds = Field(description="seconds for each bend")
    saw_cut_s: Seconds = Field(description="seconds for each saw cut")
    drilled_hole_s: Seconds = Field(description="seconds for each drilled hole")
    tapped_hole_s: Seconds = Field(description="seconds for each tapped hole")
    setup_s: Seconds = Field(description="seconds to set a machine up for a job")
    laser_per_hour: Money = Field(description="what an hour of the laser costs")
    brake_per_hour: Money = Field(description="what an hour of the press brake costs")
    saw_per_hour: Money = Field(description="what an hour of the saw costs")
    drill_per_hour: Money = Field(description="what an hour of the drill costs")
    material_per_kg: dict[str, Money] = Field(
        min_length=1, description="what a kilogram of each material costs"
    )
    bought: dict[str, Money] = Field(
        default_factory=dict, description="what a bought part costs, by its name in the bill of material"
    )


class RawShop(Table):
    bend_rule: Literal["din6935"] | None = Field(None, description="'din6935'")
    k_factor: Annotated[float, number_within(0.01, 0.5)] | None = Field(
        None, description="the neutral line's place in the sheet, from 0.01 to 0.5 of its thickness"
    )
    brake_table: FileName | None = Field(None, description="a CSV file of measured bend deductions")
    dies: list[Die] = Field(min_length=1, description="V openings of the press brake's dies")
    sheet: list[RawSheet] = Field(min_length=1, description="at least one table [[sheet]]")
    bar: list[RawBar] = Field(min_length=1, description="at least one table [[bar]]")
    cutting: RawCutting = Field(description="a table with part_gap and edge_margin")
    saw: RawSaw = Field(description="a table with kerf and trim")
    rates: RawRates = Field(description="a table of times and prices")
