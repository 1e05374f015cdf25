"""How long mountgen takes, against what nothing could do without.

    python tests/benchmarks/run.py [RUNS]

Whole processes, taken in turn so that a busy machine slows both alike; medians of RUNS (5 when not
given) after one run that is thrown away.

- `check` against a process that only imports the libraries it stands on,
- `build` against a bare script on the kernel that makes the same solids and writes the same STEP and GLB
  (and no drawings, no parts of their own, no checks).
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from mount_data import mount_data

from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.study import study
from mountgen.survey.reader import read_survey

SURVEY = profiles_folder() / "surveys/seed-cartons.toml"
HERE = Path(__file__).parent
PROGRAM = "from mountgen.cli import main; main()"
IMPORTS = "import numpy, pydantic, typer, pint"
CHECK_TARGET, BUILD_TARGET = 2.0, 1.6


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 5
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
    result = study(read_survey(SURVEY, catalogue), catalogue)
    return json.dumps(mount_data(result.survey.name, result.detail))


def _compared(yardstick: list[str], command: list[str], runs: int) -> tuple[list[float], list[float]]:
    """Seconds of both, run in turn."""
    pairs = [(_seconds(yardstick), _seconds(command)) for _ in range(runs + 1)][1:]
    return [first for first, _ in pairs], [second for _, second in pairs]


def _seconds(arguments: list[str]) -> float:
    start = time.perf_counter()
    subprocess.run([sys.executable, *arguments], check=True, capture_output=True)
    return time.perf_counter() - start


def _print_table(name: str, against: str, seconds: tuple[list[float], list[float]], target: float) -> None:
    yardstick, taken = (statistics.median(values) for values in seconds)
    ratio = taken / yardstick
    for label, values in ((against, seconds[0]), (f"mountgen {name}", seconds[1])):
        spread = f"{min(values):.2f} to {max(values):.2f} s, {len(values)} runs"
        sys.stdout.write(f"{label:<16} {statistics.median(values):6.2f} s   ({spread})\n")
    verdict = "met" if ratio <= target else "MISSED"
    sys.stdout.write(f"{'ratio':<16} {ratio:6.2f}     (target {target:g}: {verdict})\n\n")


if __name__ == "__main__":
    main()
