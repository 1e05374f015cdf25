"""How long mountgen takes, against what nothing could do without.

    python tests/benchmarks/run.py [RUNS]

Whole processes, taken in turn so that a busy machine slows both alike; medians of RUNS (5 when not
given) after one run that is thrown away. Beside the time on the clock stand the seconds that processors
worked, of all processes together: on a busy machine the clock tells little. Modules are compiled first, as
those of an installed wheel are.

- `check` against a process that only imports the libraries it stands on,
- `build` against a bare script on the kernel that makes the same solids and writes the same STEP and GLB
  (and no drawings, no parts of their own, no checks).
"""

from __future__ import annotations

import compileall
import json
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import NamedTuple

from mount_data import mount_data

import mountgen
from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.shop.reader import USUAL_SHOP, read_shop
from mountgen.study import study
from mountgen.survey.reader import read_survey

SURVEY = profiles_folder() / "surveys/seed-cartons.toml"
HERE = Path(__file__).parent
PROGRAM = "from mountgen.start import main; main()"
IMPORTS = "import numpy, pydantic, typer, pint"
CHECK_TARGET, BUILD_TARGET = 2.0, 1.6


class Cost(NamedTuple):
    """Seconds on the clock, and seconds that processors worked."""

    clock: float
    work: float


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    compileall.compile_dir(Path(mountgen.__file__).parent, quiet=1)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        mount = folder / "mount.json"
        mount.write_text(_mount_json(), encoding="utf-8")
        bare = _compared(["-c", IMPORTS], ["-c", PROGRAM, "check", str(SURVEY)], runs)
        _print_table("check", "imports alone", bare, CHECK_TARGET)
        script = [str(HERE / "bare_build.py"), str(mount), str(folder / "bare")]
        build = ["-c", PROGRAM, "build", str(SURVEY), "--out", str(folder / "out")]
        _print_table("build", "bare script", _compared(script, build, runs), BUILD_TARGET)


def _mount_json() -> str:
    catalogue = Catalogue()
    result = study(read_survey(SURVEY, catalogue), catalogue, read_shop(catalogue.folder / USUAL_SHOP))
    return json.dumps(mount_data(result.survey.name, result.detail))


def _compared(yardstick: list[str], command: list[str], runs: int) -> tuple[list[Cost], list[Cost]]:
    """What both cost, run in turn."""
    pairs = [(_cost(yardstick), _cost(command)) for _ in range(runs + 1)][1:]
    return [first for first, _ in pairs], [second for _, second in pairs]


def _cost(arguments: list[str]) -> Cost:
    start, worked = time.perf_counter(), _worked()
    subprocess.run([sys.executable, *arguments], check=True, capture_output=True)
    return Cost(time.perf_counter() - start, _worked() - worked)


def _worked() -> float:
    """Seconds of work of all ended processes below this one."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def _print_table(name: str, against: str, costs: tuple[list[Cost], list[Cost]], target: float) -> None:
    yardstick, taken = (Cost(*map(statistics.median, zip(*values, strict=True))) for values in costs)
    for label, median, values in (
        (against, yardstick, costs[0]),
        (f"mountgen {name}", taken, costs[1]),
    ):
        spread = f"{min(values).clock:.2f} to {max(values).clock:.2f} s, {len(values)} runs"
        sys.stdout.write(f"{label:<16} {median.clock:6.2f} s   ({spread}; {median.work:.2f} s of work)\n")
    ratio = taken.clock / yardstick.clock
    verdict = "met" if ratio <= target else "MISSED"
    work = f"of work {taken.work / yardstick.work:.2f}"
    sys.stdout.write(f"{'ratio':<16} {ratio:6.2f}     (target {target:g}: {verdict}; {work})\n\n")


if __name__ == "__main__":
    main()
