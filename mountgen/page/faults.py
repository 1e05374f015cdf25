"""Faults as the page gets them: every answer that is no answer has this form."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable

from mountgen.errors import Fault

_LINE = re.compile(r":(\d+)(?::\d+)?$")


def faults_data(faults: Iterable[Fault]) -> dict[str, list[dict[str, str | int | None]]]:
    """Where (with the line by itself where there is one), which key, and what to do."""
    return {"faults": [_fault(one) for one in faults]}


def faults_json(faults: Iterable[Fault]) -> bytes:
    return json.dumps(faults_data(faults), ensure_ascii=True).encode()


def _fault(one: Fault) -> dict[str, str | int | None]:
    line = _LINE.search(one.where)
    return {
        "where": one.where,
        "key": one.key,
        "line": int(line[1]) if line else None,
        "found": one.found,
        "expected": one.expected,
        "action": one.action,
    }
