"""The controller's numbers, what each measures, and what they allow on this line."""

from __future__ import annotations

from collections.abc import Iterator

from mountgen.layout.records import MOST_SETTINGS
from mountgen.layout.setup import LineLimits, line_limits
from mountgen.mechanics.timing import fitting_circumference
from mountgen.package.drawing_words import plain
from mountgen.package.mount_words import words_of
from mountgen.package.records import Dossier
from mountgen.package.setup_sheet_eye import turned_row
from mountgen.package.setup_sheet_words import flow_text
from mountgen.units import format_length, format_speed

MOST_PRODUCTS = 200
"""Products listed on the sheet; the manifest holds them all."""
SCALES_EXPLAINED = (
    "Delay: travel from the product's leading edge at the beam to the first printed column. {} Stand-off: "
    "nozzle plate to product."
)
WORTH_ANOTHER_WHEEL = 0.5
"""% that lengths are off from which on the sheet names the wheel that fits (rule of this project)."""
CHANGED_SPEED = 1.1
"""Times the set speed, for the example of a line without an encoder."""


def controller_numbers(dossier: Dossier) -> list[list[str]]:
    """What is entered into the controller: name, value, what it measures."""
    setup, survey = dossier.setup, dossier.survey
    limits = line_limits(survey, setup)
    distance = format_length(setup.sensor_to_nozzle_mm, survey.units)
    return [
        ["Direction of flow", flow_text(survey), "which end of the code comes first"],
        ["Photo-eye to nozzles (A)", distance, "along the flow, middle of the beam to the nozzle column"],
        *_travel(dossier, limits),
        ["Resolution along the flow", f"{setup.resolution_dpi:.1f} dpi", _length_error(dossier)],
    ]


def _travel(dossier: Dossier, limits: LineLimits) -> Iterator[list[str]]:
    """How the controller knows how far the product has come."""
    setup, survey = dossier.setup, dossier.survey
    speed = format_speed(survey.line.speed_mm_per_s, survey.units)
    if setup.encoder_divider is None or setup.counts_per_mm is None or limits.counts_per_column is None:
        faster = format_speed(survey.line.speed_mm_per_s * CHANGED_SPEED, survey.units)
        yield [
            "Fixed speed, no encoder",
            speed,
            f"measure it with tape and watch; at {faster} a print is 10 % longer and late by 10 % of its "
            "delay",
        ]
        return
    per_inch = setup.counts_per_mm * 25.4
    yield [
        "Encoder counts",
        f"{setup.counts_per_mm:.4f} per mm ({per_inch:.1f} per inch)",
        "pulses a turn times counted edges, over the wheel's circumference",
    ]
    yield [
        "Encoder divider",
        str(setup.encoder_divider),
        f"counts from column to column: {limits.counts_per_column:.3f} to the nearest whole number",
    ]
    yield ["Fastest line speed", speed, "from the survey; the encoder follows every slower one"]


def _length_error(dossier: Dossier) -> str:
    setup, survey = dossier.setup, dossier.survey
    if setup.encoder_divider is None or survey.encoder is None:
        return f"the head's own {survey.head.column_dpi:g} dpi, at the set speed only"
    off = setup.print_length_error_percent
    told = f"the head's {survey.head.column_dpi:g} dpi by a whole divider; lengths off {off:+.2f} %"
    if abs(off) < WORTH_ANOTHER_WHEEL:
        return told
    encoder = survey.encoder
    wheel = fitting_circumference(
        encoder.pulses_per_turn, encoder.edges_per_pulse, survey.head.column_dpi, setup.encoder_divider
    )
    return (
        f"{told}; a wheel of {format_length(wheel, survey.units, 2)} circumference would print them exactly"
    )


def limit_rows(dossier: Dossier) -> list[list[str]]:
    """What the numbers allow: name, limit, what this line has."""
    survey, units = dossier.survey, dossier.survey.units
    limits = line_limits(survey, dossier.setup)
    least = format_length(limits.least_seen, units)
    rows = [
        [
            f"Top speed (the {limits.slowest_part} sets it)",
            format_speed(limits.top_speed, units),
            f"line: {format_speed(survey.line.speed_mm_per_s, units)}",
        ],
        ["Shortest product for the trigger", least, f"here {format_length(limits.shortest_product, units)}"],
        ["Shortest gap for the trigger", least, f"here {format_length(limits.shortest_gap, units)}"],
        [
            "Off-delay of the photo-eye, as travel",
            f"less than {format_length(limits.shortest_gap, units)}",
            "more than any opening inside one product; a time would change with the speed",
        ],
        [
            "Products between photo-eye and print",
            f"{survey.controller.queue_depth} in the queue",
            f"here {limits.waiting} at the most",
        ],
    ]
    if limits.start is not None:
        early, late = (format_length(abs(edge), units, 2) for edge in (limits.start.low, limits.start.high))
        rows.append(
            ["Place of the print", f"{early} early to {late} late", "counts, and the photo-eye's response"]
        )
    return [*rows, *turned_row(survey)]


def product_rows(dossier: Dossier) -> list[list[str]]:
    """One row per product: name, delay, scales, tilt, stand-off."""
    units = dossier.survey.units
    return [
        [
            setting.product,
            format_length(setting.delay_mm, units),
            format_length(setting.post_scale_mm, units),
            format_length(setting.arm_scale_mm, units),
            f"{plain(setting.tilt_deg, 1)}°",
            format_length(setting.standoff_mm, units),
        ]
        for setting in dossier.setup.products[:MOST_PRODUCTS]
    ]


def scales_text(dossier: Dossier) -> str:
    """What the columns mean, and how many products are not listed."""
    explained = SCALES_EXPLAINED.format(words_of(dossier.survey).scales)
    hidden = dossier.setup.product_count - min(len(dossier.setup.products), MOST_PRODUCTS)
    if hidden <= 0:
        return explained
    more = f"And {hidden} more products; manifest.json holds the settings of up to {MOST_SETTINGS}. "
    return more + explained
