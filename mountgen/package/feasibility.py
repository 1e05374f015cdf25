"""`feasibility.html`: one page for the customer's desk, in words first, that needs nothing but itself.

Every text of a user is escaped. Works as well when the mount is not feasible and nothing was detailed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape
from pathlib import Path

from mountgen.assumed import AssumedEffect
from mountgen.checks.records import Check
from mountgen.package.drawing_words import MM_PER_INCH, plain
from mountgen.package.feasibility_scene import line_boxes, scene_pictures
from mountgen.package.holding import holding_section
from mountgen.package.mount_words import words_of
from mountgen.package.records import Findings, SceneBox
from mountgen.package.slope import slope_in_words
from mountgen.remedies.records import NO_ADVICE, Advice, what_helps
from mountgen.units import System, format_length, format_speed

STYLE = Path(__file__).parent / "templates" / "feasibility.css"
TIGHTEST = 3
YES_OR_NO = frozenset({"pose_allowed"})
"""Checks that are met or not: a pass is never tight."""
MOST_PRODUCTS = 200
"""Products listed on the page; the manifest holds them all."""

VERDICTS = {
    "feasible": "Feasible",
    "tight": "Feasible, but tight",
    "not feasible": "Not feasible as surveyed",
}
WORDS = {"pass": "passes", "caution": "tight", "fail": "fails"}
SMALL_INCHES = 6.35
"""mm; below a quarter inch, decimals say more than 64ths."""
RANK = {"fail": 0, "caution": 1, "pass": 2}


def write_feasibility(path: Path, findings: Findings, advice: Advice = NO_ADVICE) -> None:
    """Writes the page to `path` (UTF-8)."""
    path.write_text(feasibility_page(findings, advice), encoding="utf-8")


def feasibility_page(findings: Findings, advice: Advice = NO_ADVICE) -> str:
    """The whole page as text."""
    name = escape(findings.survey.name)
    body = (
        _verdict(findings),
        _remedies(advice),
        _tightest(findings),
        _pictures(findings),
        _holding(findings),
        _check_table(findings),
        _settings(findings),
        _assumptions(findings),
        _footer(findings),
    )
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>Feasibility: {name}</title>\n<style>\n{STYLE.read_text(encoding='utf-8')}</style>\n</head>\n"
        f"<body>\n<main>\n{''.join(body)}</main>\n</body>\n</html>\n"
    )


def _verdict(findings: Findings) -> str:
    headline = VERDICTS.get(findings.verdict, findings.verdict.capitalize())
    return (
        f'<header class="{_verdict_class(findings.verdict)}">\n'
        f"<p>Print-head mount for {escape(findings.survey.name)}</p>\n"
        f"<h1>{escape(headline)}</h1>\n"
        f"<p>{counted(findings.checks)}. {line_in_words(findings)}</p>\n</header>\n"
    )


def counted(checks: Sequence[Check]) -> str:
    """How many checks pass, are tight, are not kept."""
    counts = {v: sum(check.verdict == v for check in checks) for v in RANK}
    parts = [f"{counts['pass']} of {len(checks)} checks pass"]
    parts += [f"{counts['caution']} tight"] if counts["caution"] else []
    parts += [f"{counts['fail']} not kept"] if counts["fail"] else []
    return ", ".join(parts)


def _remedies(advice: Advice) -> str:
    """What was found by trying to make the mount feasible; left out without advice."""
    said, changes = what_helps(advice)
    if not said:
        return ""
    items = "".join(f"<li>{escape(sentence(change))}</li>\n" for change in changes)
    listed = f":</p>\n<ol>\n{items}</ol>\n" if changes else ".</p>\n"
    return _section("What would make it feasible", f"<p>{escape(said)}{listed}")


def _verdict_class(verdict: str) -> str:
    return {"feasible": "pass", "tight": "caution"}.get(verdict, "fail")


def line_in_words(findings: Findings) -> str:
    """How many products, which way and how fast; a slope where there is one."""
    survey = findings.survey
    count = len(survey.products)
    speed = format_speed(survey.line.speed_mm_per_s, survey.units)
    products = "1 product" if count == 1 else f"{count} products"
    words = f"{products}, {survey.line.flow.replace('_', ' ')}, up to {speed}."
    slope = slope_in_words(survey)
    return f"{words} {sentence(slope)} Every size is along the bed or square to it." if slope else words


def closeness(check: Check) -> tuple[int, float]:
    """Sorts checks: failures first, then by the margin as a share of the limit (of the value at limit 0); of
    a share that must nearly be all, by what it leaves to all: 99.8 % where 99.5 are needed is not near."""
    limit = 100.0 - check.limit if check.unit == "%" and check.limit > 50.0 else check.limit
    size = abs(limit) or abs(check.value) or 1.0
    return (RANK[check.verdict], check.margin / size)


def amount(value: float, unit: str, units: System) -> str:
    """A value with its unit; lengths in the survey's own units."""
    decimals = 1 if abs(value) >= 10 else 3
    if unit == "mm" and units == "in" and abs(value) < SMALL_INCHES:
        return f"{plain(value / MM_PER_INCH, 4)} in"
    if unit == "mm":
        return format_length(value, units, 1 if abs(value) >= 10 else 2)
    return f"{plain(value, decimals)} {unit}".rstrip()


def in_words(check: Check, units: System) -> str:
    """A check as a sentence with its number and its limit."""
    value, limit = amount(check.value, check.unit, units), amount(check.limit, check.unit, units)
    left = amount(abs(check.margin), check.unit, units)
    rest = f"{left} short" if check.margin < 0 else f"{left} left"
    bound = f"at least {limit} is needed" if _is_lower_limit(check) else f"at most {limit} is allowed"
    return f"{value}, where {bound}: {rest}"


def _is_lower_limit(check: Check) -> bool:
    """Which side of the limit is the good one, from the sign of the margin."""
    over = check.value - check.limit
    return abs(over - check.margin) <= abs(over + check.margin)


def tightest(checks: Sequence[Check]) -> list[Check]:
    """The checks with the least left to their limits, the least first."""
    graded = [c for c in checks if c.verdict != "pass" or c.id not in YES_OR_NO]
    return sorted(graded, key=closeness)[:TIGHTEST]


def _tightest(findings: Findings) -> str:
    ranked = tightest(findings.checks)
    if not ranked:
        return ""
    items = "".join(_tight_item(check, findings.survey.units) for check in ranked)
    return f"<section>\n<h2>What is tightest</h2>\n<ol>\n{items}</ol>\n</section>\n"


def _tight_item(check: Check, units: System) -> str:
    remedy = f" <em>{escape(sentence(check.remedy))}</em>" if check.remedy else ""
    return (
        f"<li><strong>{escape(sentence(check.title, end=''))}</strong> "
        f"({WORDS[check.verdict]}): {escape(in_words(check, units))}.{remedy}</li>\n"
    )


def sentence(text: str, end: str = ".") -> str:
    """With a capital and a full stop."""
    return f"{text[:1].upper()}{text[1:]}{end if not text.endswith('.') else ''}"


def _pictures(findings: Findings) -> str:
    figures = "\n".join(scene_pictures(findings))
    shown = [*line_boxes(findings.survey), *findings.scene]
    return f"<section>\n<h2>To scale</h2>\n{figures}\n{_legend(shown)}</section>\n"


def _legend(boxes: Sequence[SceneBox]) -> str:
    """Each colour with the names of what bears it."""
    names: dict[tuple[float, float, float], dict[str, None]] = {}
    for box in boxes:
        names.setdefault(box.colour, {})[box.name] = None
    items = []
    for colour, things in names.items():
        fill = ",".join(str(round(255 * share)) for share in colour)
        swatch = f'<span class="swatch" style="background:rgb({fill})"></span>'
        items.append(f"<li>{swatch}{escape(', '.join(things))}</li>")
    return f'<ul class="legend">{"".join(items)}</ul>\n'


def _holding(findings: Findings) -> str:
    survey = findings.survey
    return _section("Does it hold the gap?", holding_section(findings.holding, survey.standoff, survey.units))


def _check_table(findings: Findings) -> str:
    heads = ("Check", "Value", "Limit", "Left", "Margin", "Source and remedy")
    rows = "".join(_check_row(check, findings.survey.units) for check in findings.checks)
    return _section("All checks", _table(heads, rows, "checks"))


def _check_row(check: Check, units: System) -> str:
    cells = (
        f'<th scope="row">{escape(sentence(check.title, end=""))}</th>',
        _cell("Value", escape(amount(check.value, check.unit, units))),
        _cell("Limit", escape(amount(check.limit, check.unit, units))),
        _cell("Left", escape(amount(check.margin, check.unit, units))),
        _cell("Margin", _bar(check)),
        _cell("Source", _source(check)),
    )
    return f'<tr class="{check.verdict}">{"".join(cells)}</tr>\n'


def _cell(name: str, content: str) -> str:
    return f'<td data-name="{name}">{content}</td>'


def _bar(check: Check) -> str:
    """How much of the limit is left, 0 to 100 %, with the verdict as a word beside it."""
    share = min(max(closeness(check)[1], 0.0), 1.0)
    return (
        f'<span class="bar" aria-hidden="true"><span style="width:{round(100 * share)}%"></span></span>'
        f'<span class="word">{WORDS[check.verdict]}</span>'
    )


def _source(check: Check) -> str:
    remedy = f"<br><em>{escape(sentence(check.remedy))}</em>" if check.remedy else ""
    return f"{escape(check.source)}{remedy}"


def _settings(findings: Findings) -> str:
    """Per-product settings; left out when no layout was found."""
    setup, units = findings.setup, findings.survey.units
    if setup is None:
        return ""
    rows = []
    for s in setup.products[:MOST_PRODUCTS]:
        lengths = (s.delay_mm, s.post_scale_mm, s.arm_scale_mm, s.standoff_mm)
        values = [format_length(value, units) for value in lengths]
        values.insert(3, f"{plain(s.tilt_deg, 1)}°")
        cells = "".join(f"<td>{value}</td>" for value in values)
        rows.append(f'<tr><th scope="row">{escape(s.product)}</th>{cells}</tr>\n')
    arm = words_of(findings.survey).arm.capitalize()
    heads = ("Product", "Delay", "Post scale", f"{arm} scale", "Tilt", "Stand-off")
    hidden = len(setup.products) - MOST_PRODUCTS
    more = f"<p>And {hidden} more, all in manifest.json.</p>\n" if hidden > 0 else ""
    return _section("Settings for each product", _table(heads, "".join(rows), "settings") + more)


def _assumptions(findings: Findings) -> str:
    if not findings.effects:
        return _section("Assumptions", "<p>None: every value was measured.</p>\n")
    items = "".join(f"<li>{_assumption(effect)}</li>\n" for effect in findings.effects)
    text = (
        "<p>Not measured; check them on site before anything is cut. Behind each one stands what another "
        "plausible value would do to this mount.</p>\n"
    )
    return _section("Assumptions", f"{text}<ul>\n{items}</ul>\n")


def _assumption(one: AssumedEffect) -> str:
    text = f"<code>{escape(one.key)}</code> {escape(one.value)}: {escape(one.reason)}."
    return f"{text} <em>{escape(sentence(one.effect))}</em>"


def _footer(findings: Findings) -> str:
    survey = findings.survey
    revision = f", revision {escape(survey.revision)}" if survey.revision else ""
    return (
        f"<footer><p>Made by mountgen from survey {survey.source_sha256[:8]}{revision}. Estimates for "
        "planning: local codes, the line owner's rules and licensed practice come first.</p></footer>\n"
    )


def _section(title: str, content: str) -> str:
    return f"<section>\n<h2>{title}</h2>\n{content}</section>\n"


def _table(heads: Sequence[str], rows: str, name: str) -> str:
    columns = "".join(_heads(heads))
    table = f'<table class="{name}">\n<thead><tr>{columns}</tr></thead>\n<tbody>\n{rows}</tbody>\n</table>'
    return f'<div class="wide">{table}</div>\n'


def _heads(heads: Sequence[str]) -> Iterator[str]:
    for head in heads:
        yield f'<th scope="col">{head}</th>'
