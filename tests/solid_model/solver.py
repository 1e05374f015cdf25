"""CalculiX: writes an input deck for a mesh, runs `ccx`, reads travels and frequencies.

The *handle* is one more node to which the loaded face is tied as a rigid body: it takes unit forces and
carries the mass. Units: mm, N, MPa, t.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from solid_model.geometry import Axis, Elastic, Hold, Solids
from solid_model.mesh import AXES, Floats, Ints, Mesh

SECONDS = 900
KG_PER_T = 1000.0
PER_LINE = 12
FORCE = 1.0
"""N of each load case."""


@dataclass(frozen=True)
class Case:
    """A mesh with what holds and moves it: rows of nodes that are fixed along axes, rows that the handle
    grips, its place (mm) and the mass on it (kg)."""

    mesh: Mesh
    held: tuple[tuple[Ints, tuple[Axis, ...]], ...]
    grip: Ints
    handle: tuple[float, float, float]
    kg: float


@dataclass(frozen=True)
class Answer:
    """mm of the handle along x, y, z for 1 N along each of `loads` (rows), and the lowest frequencies."""

    travel: Floats
    frequencies_hz: Floats


def case_of(solids: Solids, mesh: Mesh, kg: float) -> Case:
    """The arm's end on a handle in its middle, with a mass there."""
    held = tuple((_rows(hold, mesh), hold.fixed) for hold in solids.holds)
    grip = mesh.plane("arm", "y", solids.tip)
    x, y, z = ((mesh.nodes[grip].min(axis=0) + mesh.nodes[grip].max(axis=0)) / 2).tolist()
    return Case(mesh, held, grip, (x, y, z), kg)


def _rows(hold: Hold, mesh: Mesh) -> Ints:
    planes = [mesh.plane(hold.part, hold.axis, place) for place in hold.planes]
    return np.concatenate([rows[:1] if hold.only else rows for rows in planes])


def is_there() -> bool:
    return shutil.which("ccx") is not None


def solve(case: Case, folder: Path, loads: tuple[Axis, ...] = AXES) -> Answer:
    """Runs ccx in `folder`; RuntimeError with its last words when it fails."""
    deck = folder / "mount.inp"
    deck.write_text("\n".join(_deck(case, loads)) + "\n", encoding="ascii")
    done = subprocess.run(
        ["ccx", deck.stem],
        cwd=folder,
        env={**os.environ, "OMP_NUM_THREADS": "1", "CCX_NPROC_EQUATION_SOLVER": "1"},
        capture_output=True,
        text=True,
        timeout=SECONDS,
        check=False,
    )
    results = folder / "mount.dat"
    if done.returncode != 0 or "*ERROR" in done.stdout or not results.is_file():
        raise RuntimeError(done.stdout[-2000:] + done.stderr[-500:])
    return _answer(results.read_text(encoding="ascii"), len(loads))


def _deck(case: Case, loads: tuple[Axis, ...]) -> Iterator[str]:
    mesh, handle = case.mesh, len(case.mesh.nodes) + 1
    turn, mass = handle + 1, len(mesh.elements) + 1
    yield "*NODE, NSET=ALL"
    for number, place in enumerate((*mesh.nodes, case.handle, case.handle), 1):
        yield f"{number}, " + ", ".join(f"{value:.9g}" for value in place)
    for row, metal in enumerate(mesh.metals):
        yield from _part(mesh, row, metal)
    yield from _set("GRIP", case.grip)
    yield f"*NSET, NSET=HANDLE\n{handle}"
    yield f"*ELEMENT, TYPE=MASS, ELSET=HEAD\n{mass}, {handle}\n*MASS, ELSET=HEAD\n{case.kg / KG_PER_T:.9g}"
    yield f"*RIGID BODY, NSET=GRIP, REF NODE={handle}, ROT NODE={turn}"
    for number, (rows, fixed) in enumerate(case.held):
        yield from _set(f"HELD{number}", rows)
        yield "*BOUNDARY"
        for axis in fixed:
            yield f"HELD{number}, {AXES.index(axis) + 1}"
    for load in loads:
        yield f"*STEP\n*STATIC\n*CLOAD, OP=NEW\n{handle}, {AXES.index(load) + 1}, {FORCE}"
        yield "*NODE PRINT, NSET=HANDLE\nU\n*END STEP"
    yield "*STEP\n*FREQUENCY\n3\n*END STEP"


def _part(mesh: Mesh, row: int, metal: Elastic) -> Iterator[str]:
    name = f"P{row}"
    yield f"*ELEMENT, TYPE=C3D10, ELSET={name}"
    for number in np.flatnonzero(mesh.metal == row):
        yield f"{number + 1}, " + ", ".join(str(node + 1) for node in mesh.elements[number])
    yield f"*MATERIAL, NAME={name}\n*DENSITY\n{metal.kg_per_mm3 / KG_PER_T:.9g}"
    yield f"*ELASTIC\n{metal.e_mpa:.9g}, {metal.e_mpa / (2 * metal.g_mpa) - 1:.9g}"
    yield f"*SOLID SECTION, ELSET={name}, MATERIAL={name}"


def _set(name: str, rows: Ints) -> Iterator[str]:
    yield f"*NSET, NSET={name}"
    for start in range(0, len(rows), PER_LINE):
        yield ", ".join(str(row + 1) for row in rows[start : start + PER_LINE]) + ","


def _answer(text: str, count: int) -> Answer:
    travels = re.findall(r"displacements.*?\n\s*\n\s*\d+((?:\s+[-+.\dE]+){3})", text)
    number = r"[-+]?\d\.\d+E[-+]\d+"
    modes = re.findall(rf"^\s+\d+\s+{number}\s+{number}\s+({number})\s+{number}\s*$", text, re.MULTILINE)
    if len(travels) < count or not modes:
        raise RuntimeError("the results lack travels or frequencies")
    travel = np.array([[float(value) for value in row.split()] for row in travels[:count]]) / FORCE
    return Answer(travel, np.array([float(value) for value in modes]))
