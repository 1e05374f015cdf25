"""The feasibility report of a survey that was sent, as one HTML or PDF file."""

from __future__ import annotations

from collections.abc import Callable

from mountgen.assumed import assumption_effects
from mountgen.errors import InputError
from mountgen.package.feasibility import feasibility_page
from mountgen.package.feasibility_pdf import feasibility_pdf
from mountgen.package.records import Findings
from mountgen.package.writer import findings
from mountgen.page.answers import advised, known
from mountgen.page.faults import faults_json
from mountgen.page.sent import Sent
from mountgen.page.workers import Answer
from mountgen.remedies.records import Advice


def report_html(sent: Sent) -> Answer:
    """One page that needs nothing but itself."""
    return _report(sent, lambda found, advice: feasibility_page(found, advice).encode())


def report_pdf(sent: Sent) -> Answer:
    """The same as a PDF."""
    return _report(sent, feasibility_pdf)


def _report(sent: Sent, written: Callable[[Findings, Advice], bytes]) -> Answer:
    try:
        found, advice = advised(sent)
        effects = assumption_effects(found, known().catalogue)
        return Answer(200, written(findings(found, effects), advice))
    except InputError as error:
        return Answer(422, faults_json(error.faults))
