"""Mounts as installed, simulated from their geometry and not from the linear model, and measured."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

from changeover_samples import studied

from mountgen.asbuilt.correct import as_built
from mountgen.asbuilt.reader import Measurements, read_measured
from mountgen.asbuilt.records import AsBuilt


@dataclass(frozen=True)
class Truth:
    """What is off, mm and deg; signs as in the findings."""

    post_zero: float = 0.0
    arm_zero: float = 0.0
    across: float = 0.0
    lean: float = 0.0
    level: float = 0.0

    def gap(self, example: str, row: int, post: float, arm: float) -> float:
        """Nozzle plate to the product's face when the scales show `post` and `arm`."""
        scene = studied(example).scene
        layout, demand, settings = scene.layout, scene.demand, scene.layout.settings
        joint_z = layout.post_bottom + self.post_zero + post + layout.cross_half[1]
        rise = joint_z - float(settings.arm_z[0])
        post_y = layout.post_y + self.across + rise * math.tan(math.radians(self.lean))
        tip_y = post_y - (arm + self.arm_zero) + layout.arm_length
        if settings.tilt_deg[row] == 0.0:
            nozzle_y = tip_y - (settings.tip_y[row] - demand.column_y[row])
            return float(demand.near_y[row] - nozzle_y)
        rise = (tip_y - float(settings.tip_y[0])) * math.tan(math.radians(self.level))
        nozzle_z = joint_z + rise - (settings.arm_z[row] - settings.column_z[row])
        return float(nozzle_z - demand.height[row])


def measured(text: str, folder: Path, example: str = "seed-cartons") -> Measurements:
    path = folder / "measured.toml"
    path.write_text(f"schema = 1\n{text}", encoding="utf-8")
    return read_measured(path, studied(example))


def built(text: str, folder: Path, example: str = "seed-cartons") -> AsBuilt:
    return as_built(studied(example), measured(text, folder, example).raw)


def gaps(truth: Truth, example: str, rows) -> str:
    """Stand-offs that were measured exactly, to a straight edge, at the designed readings."""
    setup = studied(example).setup
    told = []
    for row in rows:
        one = setup.products[row]
        gap = truth.gap(example, row, one.post_scale_mm, one.arm_scale_mm)
        told.append(
            f'[[standoff]]\nproduct = "{one.product}"\ngap = "{gap:.9f} +/- 0.001 mm"\nto = "straight edge"\n'
            f'post = "{one.post_scale_mm:.9f} +/- 0.001 mm"\narm = "{one.arm_scale_mm:.9f} +/- 0.001 mm"\n'
        )
    return "".join(told)
