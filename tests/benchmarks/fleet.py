"""What a survey costs in a fleet, as the fleet grows, and what a second worker gains.

    python tests/benchmarks/fleet.py 1000          checks so many surveys
    python tests/benchmarks/fleet.py 100 --build   builds them

Every survey is one of the examples with another speed and another uncertainty of the rail. Runs begin
without kept outcomes; the last one is repeated with all of them kept.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from pathlib import Path
from random import Random

from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.fleet.fleet import FleetOrder, run_fleet
from mountgen.shop.reader import USUAL_SHOP

EXAMPLES = ("seed-cartons", "compost-sacks")


def write_surveys(folder: Path, count: int) -> None:
    dice = Random(1)
    folder.mkdir()
    for number in range(count):
        name = EXAMPLES[number % len(EXAMPLES)]
        text = (profiles_folder() / "surveys" / f"{name}.toml").read_text(encoding="utf-8")
        speed = f"{dice.uniform(15.0, 40.0):.2f} m/min"
        lines = [f'speed = "{speed}"' if line.startswith("speed =") else line for line in text.split("\n")]
        text = "\n".join(lines).replace(f'name = "{name}"', f'name = "line-{number:05}"')
        (folder / f"line-{number:05}.toml").write_text(text, encoding="utf-8")


def run(folder: Path, out: Path, workers: int, *, build: bool) -> tuple[float, dict[str, int]]:
    profiles = Catalogue().folder
    order = FleetOrder(folder, out, profiles / USUAL_SHOP, profiles, build, workers)
    begun = time.perf_counter()
    summary = run_fleet(order, lambda _: None)
    return time.perf_counter() - begun, {k: v for k, v in summary.counts.items() if v}


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("count", type=int)
    parser.add_argument("--build", action="store_true")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as place:
        root, few = Path(place), max(given.count // 10, 4)
        write_surveys(root / "few", few)
        write_surveys(root / "all", given.count)
        rows = [("few", few, 2), ("all", given.count, 2), ("few", few, 1)]
        for name, count, workers in rows:
            seconds, counts = run(root / name, root / f"{name}-{workers}", workers, build=given.build)
            each = f"{seconds:.1f} s, {1000 * seconds / count:.0f} ms each"
            sys.stdout.write(f"{count} surveys, {workers} workers: {each}, {counts}\n")
            sys.stdout.flush()
        seconds, _ = run(root / "all", root / "all-2", 2, build=given.build)
        sys.stdout.write(f"{given.count} surveys, all kept: {seconds:.1f} s\n")


if __name__ == "__main__":
    main()
