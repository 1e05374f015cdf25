"""The feasibility page as a PDF, for those who file papers: the same words and figures, set by Typst."""

from __future__ import annotations

from mountgen.checks.records import Check
from mountgen.package.documents import displayable_data
from mountgen.package.feasibility import (
    VERDICTS,
    WORDS,
    amount,
    counted,
    in_words,
    line_in_words,
    sentence,
    tightest,
)
from mountgen.package.feasibility_scene import scene_drawings
from mountgen.package.holding import figures, histogram
from mountgen.package.records import Findings
from mountgen.package.typeset import typeset
from mountgen.remedies.records import NO_ADVICE, Advice, what_helps
from mountgen.units import System

TEMPLATE = "feasibility.typ"
STYLE = (
    "rect{fill-opacity:.75;stroke:#1d2326;stroke-width:.8}text{fill:#1d2326;font-size:15px;"
    "font-family:'DejaVu Sans'}.mark{fill:none;stroke:#1d2326;stroke-dasharray:10 3 2 3}"
    ".bar{fill:none;stroke:#1d2326;stroke-width:1.5}.band{stroke:none}"
    ".band.acceptable{fill:#865000;fill-opacity:.16}.band.best{fill:#23663b;fill-opacity:.22}"
    ".share{fill:#51595e;fill-opacity:.85;stroke:none}"
)
"""Colours of the pictures on white paper, as those of the page in light."""


def feasibility_pdf(findings: Findings, advice: Advice = NO_ADVICE) -> bytes:
    """The whole report as a PDF/UA-1 file."""
    return typeset(TEMPLATE, displayable_data(_data(findings, advice)))


def _data(findings: Findings, advice: Advice) -> dict[str, object]:
    survey, (said, changes) = findings.survey, what_helps(advice)
    units = survey.units
    spread = histogram(findings.holding.budget, survey.standoff, units)
    return {
        "title": f"Feasibility: {survey.name}",
        "headline": VERDICTS.get(findings.verdict, findings.verdict.capitalize()),
        "line": f"{counted(findings.checks)}. {line_in_words(findings)}",
        "said": sentence(said, end=":" if changes else ".") if said else "",
        "changes": [sentence(one) for one in changes],
        "tightest": [
            sentence(f"{one.title} ({WORDS[one.verdict]}): {in_words(one, units)}")
            for one in tightest(findings.checks)
        ],
        "pictures": [
            {"caption": f"{title}. {seen}", "picture": _alone(svg)}
            for title, seen, svg in scene_drawings(findings)
        ],
        "holding": list(figures(findings.holding, units)),
        "spread": {"caption": "How the gap is spread over all products.", "picture": _alone(spread)},
        "checks": [_row(one, units) for one in findings.checks],
        "assumptions": [
            f"{one.key} {one.value}: {one.reason}. {sentence(one.effect)}" for one in findings.effects
        ],
        "footer": f"Made by mountgen from survey {survey.source_sha256[:8]}. Estimates for planning: local "
        "codes, the line owner's rules and licensed practice come first.",
    }


def _row(check: Check, units: System) -> list[str]:
    numbers = (amount(number, check.unit, units) for number in (check.value, check.limit, check.margin))
    source = f"{check.source}. {sentence(check.remedy)}" if check.remedy else check.source
    return [sentence(check.title, end=""), *numbers, WORDS[check.verdict], source]


def _alone(markup: str) -> str:
    """The SVG of a piece of a page, as a file that stands alone."""
    svg = markup[markup.index("<svg") : markup.index("</svg>") + len("</svg>")]
    head, body = svg.split(">", 1)
    return f'{head} xmlns="http://www.w3.org/2000/svg"><style>{STYLE}</style>{body}'
