"""Time and peak memory for lists of products: python tests/benchmarks/products.py [rows] [kind].

Kinds: `csv` (German export, semicolons, decimal commas), `exact` (every number different, all digits),
`units` (a unit in every cell), `dashes` (every tenth row without sizes), `twice` (every row two times),
`xlsx`. Each runs in a process of its own, so that its peak memory is its own.
"""

from __future__ import annotations

import multiprocessing
import random
import resource
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import openpyxl

from mountgen.survey.product_list.reader import read_products
from mountgen.survey.product_list.records import ListOptions
from mountgen.survey.records import Code, Product
from mountgen.units import Measured

DEFAULTS = Product(
    name="default",
    length=Measured(100.0),
    width=Measured(100.0),
    height=Measured(100.0),
    against="near",
    gap=250.0,
    code=Code("near_side", (5.0, 2.0), 2.0, above_base=1.0),
    bulge=1.0,
    skew_deg=0.5,
)
HEADER = ("Artikel", "Länge (mm)", "Breite (mm)", "Höhe (mm)", "Abstand (mm)", "Lagerplatz")


def _rows(count: int, number: Callable[[float], str]) -> Iterator[list[str]]:
    draw = random.Random(1)
    for at in range(count):
        sizes = [number(draw.uniform(low, high)) for low, high in ((80, 600), (60, 400), (20, 400))]
        yield [f"Karton {at:07d}", *sizes, number(draw.uniform(50, 300)), f"{at % 97}-{at % 13}"]


def _comma(value: float) -> str:
    return f"{value:.2f}".replace(".", ",")


def _write_csv(path: Path, rows: Iterator[list[str]]) -> None:
    with path.open("w", encoding="utf-8-sig") as file:
        file.write(";".join(HEADER) + "\n")
        file.writelines(";".join(row) + "\n" for row in rows)


def _dashes(rows: Iterator[list[str]]) -> Iterator[list[str]]:
    for at, row in enumerate(rows):
        yield [row[0], "-", "-", "-", "-", row[5]] if at % 10 == 0 else row


def _twice(rows: Iterator[list[str]]) -> Iterator[list[str]]:
    for row in rows:
        yield row
        yield row


def _write_xlsx(path: Path, rows: Iterator[list[str]]) -> None:
    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("list")
    sheet.append(HEADER)
    for row in rows:
        sheet.append([row[0], *map(float, row[1:5]), row[5]])
    book.save(path)


def _write(path: Path, kind: str, count: int) -> None:
    if kind == "xlsx":
        _write_xlsx(path, _rows(count, "{:.2f}".format))
    elif kind == "exact":
        _write_csv(path, _rows(count, repr))
    elif kind == "units":
        _write_csv(path, _rows(count, lambda value: f"{_comma(value)} mm"))
    elif kind == "dashes":
        _write_csv(path, _dashes(_rows(count, _comma)))
    elif kind == "twice":
        _write_csv(path, _twice(_rows(count // 2, _comma)))
    else:
        _write_csv(path, _rows(count, _comma))


def _measure(path: Path, kind: str) -> None:
    before, worked = time.perf_counter(), time.process_time()
    read = read_products(path, DEFAULTS, ListOptions(units="mm"))
    seconds, worked = time.perf_counter() - before, time.process_time() - worked
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    size = path.stat().st_size / 1e6
    sys.stdout.write(
        f"{kind}: {read.rows_in_file} rows, {size:.0f} MB, {len(read.table)} products, "
        f"{len(read.refused)} refused, {len(read.doubtful)} doubtful: "
        f"{seconds:.2f} s ({worked:.2f} s of work), peak {peak:.0f} MB\n"
    )


def main() -> None:
    """Writes and reads a list of each kind asked for."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    kinds = sys.argv[2:] or ["csv", "exact", "units", "dashes", "twice"]
    spawn = multiprocessing.get_context("spawn")
    with tempfile.TemporaryDirectory() as folder:
        for kind in kinds:
            path = Path(folder) / f"list.{'xlsx' if kind == 'xlsx' else 'csv'}"
            for job in ((_write, (path, kind, count)), (_measure, (path, kind))):
                process = spawn.Process(target=job[0], args=job[1])
                process.start()
                process.join()


if __name__ == "__main__":
    main()
