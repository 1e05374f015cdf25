"""What `check --json` prints, and how records become JSON.

Numbers are rounded to a millionth, which is far below anything that can be measured, so that the same
survey gives the same text. What is endless, such as the distance to an axle where there is none, is null.
"""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Mapping

import numpy as np
from pydantic import BaseModel

from mountgen.checks.drivers import product_report
from mountgen.package.holding import holding_of
from mountgen.remedies.records import NO_ADVICE, Advice
from mountgen.study import Study
from mountgen.survey.product_list.records import ProductList

SCHEMA = 1
DECIMALS = 6
MOST_ROWS = 1000

Json = None | bool | int | float | str | list["Json"] | dict[str, "Json"]


def check_report(study: Study, advice: Advice = NO_ADVICE) -> dict[str, Json]:
    """What `check --json` prints."""
    return {
        "schema": SCHEMA,
        "name": study.survey.name,
        "verdict": study.verdict,
        "checks": plain(study.checks),
        "remedies": plain(advice.remedies),
        "remedies_together": plain(advice.together),
        "holding": holding_numbers(study),
        "layout": layout_numbers(study),
        "setup": plain(study.setup),
        "products": plain(product_report(study.scene)),
        "product_list": None if study.survey.product_list is None else list_report(study.survey.product_list),
        "assumptions": plain(study.survey.assumptions),
    }


def holding_numbers(study: Study) -> dict[str, Json]:
    """Whether the nozzles stay where they were set; of the causes their effects at the worst product."""
    numbers = plain(holding_of(study.scene))
    assert isinstance(numbers, dict)
    budget = numbers["budget"]
    assert isinstance(budget, dict)
    return {
        **numbers,
        "budget": {key: budget[key] for key in budget if key not in ("causes", "worst", "rss")},
    }


def list_report(products: ProductList) -> dict[str, Json]:
    """What became of every row of a product list; of many refused or doubtful rows the first are told."""
    return {
        "rows_in_file": products.rows_in_file,
        "rows_read": products.rows_read,
        "rows_repeated": products.rows_repeated,
        "rows_empty": products.rows_empty,
        "rows_refused": len(products.refused),
        "rows_doubtful": len(products.doubtful),
        "refused": plain(products.refused[:MOST_ROWS]),
        "doubtful": plain(products.doubtful[:MOST_ROWS]),
        "notes": plain(products.notes),
    }


def layout_numbers(study: Study) -> dict[str, Json]:
    """The layout in the working view (products run to +x), sections by name."""
    numbers = plain(study.scene.layout)
    return {"view": "products run to +x", "hand": hand_of(study), "numbers": numbers}


def hand_of(study: Study) -> str:
    """'right' when the mast stands right of the head, seen from the mount side."""
    return "left" if study.survey.line.flow == "right_to_left" else "right"


def plain(value: object) -> Json:
    """A record as JSON types: dataclasses and arrays opened, catalogue records by name, floats rounded.

    Raises TypeError for what has no JSON form.
    """
    if isinstance(value, BaseModel):
        return plain(getattr(value, "name", None) or value.model_dump())
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, np.ndarray | tuple | list):
        return [plain(item) for item in value]
    return _plain_scalar(value)


def _plain_scalar(value: object) -> Json:
    if value is None or isinstance(value, str | bool | int):
        return value
    if isinstance(value, float):
        return round(float(value), DECIMALS) + 0.0 if math.isfinite(value) else None
    raise TypeError(f"{type(value).__name__} has no JSON form")


def json_text(data: Mapping[str, Json]) -> str:
    """Readable JSON with a final newline; refuses nan and infinity."""
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
