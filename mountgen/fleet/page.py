"""The fleet's summary as one HTML page that needs nothing else."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from html import escape

from mountgen.fleet.plan import FleetSummary, SharedPart, StockNeed
from mountgen.fleet.records import MadeFlat, Outcome

MOST_PARTS = 200
"""Different parts that the page shows; the workbook holds all."""
LINES = ("Survey", "Name", "Verdict", "What binds")
BINDING = ("Check", "Lines it fails", "Lines it is tight on")
PARTS = ("Part", "Of", "Pieces", "On", "Where")
STOCK = ("Stock", "Pieces", "Sheets or bars", "Amount", "Least", "Yield")
STYLE = """
body { font: 16px/1.45 system-ui, sans-serif; margin: 1.5rem auto; max-width: 72rem; padding: 0 1rem; }
table { border-collapse: collapse; margin: .5rem 0 1.5rem; width: 100%; }
th, td { border-bottom: 1px solid #9995; padding: .3rem .6rem; text-align: left; vertical-align: top; }
td.n, th.n { text-align: right; font-variant-numeric: tabular-nums; }
.wide { overflow-x: auto; }
@media (prefers-color-scheme: dark) { body { background: #16181a; color: #e6e6e6; } }
"""


def page(title: str, summary: FleetSummary) -> str:
    """The whole document."""
    shown = summary.parts[:MOST_PARTS]
    parts = [
        f"<h1>{escape(title)}</h1>",
        f"<p>{len(summary.outcomes)} surveys: {counted(summary)}.</p>",
        "<h2>Lines</h2>",
        _table(LINES, map(_line, summary.outcomes)),
        "<h2>What binds most</h2>",
        _table(BINDING, map(_binding, summary.binding), numbers=(1, 2)),
        "<h2>Parts that are the same</h2>",
        f"<p>Parts of one row are the same piece of metal: cut them in one batch.{_left_out(summary)}</p>",
        _table(PARTS, map(_part, shown), numbers=(2, 3)),
        "<h2>Stock for all of them</h2>",
        "<p>Flats are nested together in batches, bars are planned together. The least is what no plan of "
        "these batches can do with less than.</p>",
        _table(STOCK, map(_stock, summary.stock), numbers=(1, 2, 3, 4, 5)),
    ]
    meta = '<meta charset="utf-8"><meta name="viewport" content="width=device-width">'
    head = f"<head>{meta}<title>{escape(title)}</title><style>{STYLE}</style></head>"
    body = "\n".join(parts)
    return f'<!doctype html>\n<html lang="en">{head}\n<body>\n{body}\n</body></html>\n'


def counted(summary: FleetSummary) -> str:
    """How many came to which verdict."""
    return ", ".join(f"{count} {state}" for state, count in summary.counts.items() if count)


def _left_out(summary: FleetSummary) -> str:
    hidden = len(summary.parts) - MOST_PARTS
    return f" {hidden} more are in the workbook." if hidden > 0 else ""


def _table(heads: Sequence[str], rows: Iterable[Sequence[str]], numbers: tuple[int, ...] = ()) -> str:
    marks = [' class="n"' if place in numbers else "" for place in range(len(heads))]
    top = "".join(f'<th scope="col"{m}>{escape(h)}</th>' for h, m in zip(heads, marks, strict=True))
    body = "".join(f"<tr>{_cells(row, marks)}</tr>\n" for row in rows)
    return f'<div class="wide"><table><thead><tr>{top}</tr></thead><tbody>\n{body}</tbody></table></div>'


def _cells(row: Sequence[str], marks: Sequence[str]) -> str:
    return "".join(f"<td{mark}>{escape(cell)}</td>" for cell, mark in zip(row, marks, strict=True))


def _line(one: Outcome) -> tuple[str, ...]:
    return one.label, one.name, one.state, "; ".join(reasons(one))


def reasons(one: Outcome) -> Iterator[str]:
    """Why a line is not simply feasible: faults, else the failing checks, else the tight ones."""
    if one.messages:
        yield from one.messages
        return
    failing = [bound for bound in one.bound if bound.verdict == "fail"]
    yield from (bound.title for bound in failing or one.bound)


def _binding(row: tuple[str, int, int]) -> tuple[str, ...]:
    return row[0], str(row[1]), str(row[2])


def _part(part: SharedPart) -> tuple[str, ...]:
    where = "; ".join(_where(*line) for line in part.lines)
    return part.name, made_of(part), str(part.quantity), str(len(part.lines)), where


def _where(label: str, number: str, count: int) -> str:
    return f"{label} {number}" + (f" x {count}" if count > 1 else "")


def made_of(part: SharedPart) -> str:
    """What a part is cut from."""
    if isinstance(part.made, MadeFlat):
        return f"{part.made.material}, {part.made.thickness:g} mm"
    return f"{part.made.section}, {part.made.length:g} mm long"


def _stock(need: StockNeed) -> tuple[str, ...]:
    if need.lacks:
        return need.stock, str(need.pieces), "none", need.lacks, "", ""
    return need.stock, str(need.pieces), str(need.count), *amounts(need), f"{100 * need.share_used:.1f} %"


def amounts(need: StockNeed) -> tuple[str, str]:
    """What is needed and the least, in m2 of sheet or m of bar."""
    scale = {"m2": 1e6, "m": 1e3}[need.unit]
    return f"{need.amount / scale:.2f} {need.unit}", f"{need.least / scale:.2f} {need.unit}"
