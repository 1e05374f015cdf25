"""One check result: what was asked, what was found, how much is left, and what would mend it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Verdict = Literal["pass", "caution", "fail"]


@dataclass(frozen=True)
class Check:
    """`margin` is what is left to the limit in `unit`: negative when the check fails.

    `remedy` is '' when the check passes and else names a change with a number in it.
    """

    id: str
    title: str
    verdict: Verdict
    value: float
    limit: float
    unit: str
    margin: float
    source: str
    remedy: str = ""
