"""Regenerates the property check tables of this folder from libraries on PyPI and compares them.

    python regenerate.py                    # compare with the tables kept here
    python regenerate.py --against DIR      # compare with those of another folder
    python regenerate.py --write DIR        # write the recomputed tables

Each comparison names the worst relative difference of every table and its column. Exit 1 when a
table differs by more than its tolerance.
"""

from __future__ import annotations

import argparse
import csv
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import tables
from scale import scale

HERE = Path(__file__).parent
# Largest relative difference taken as the same: library round-off and the digits kept.
# The third number: below it the difference is taken against it (indices pass through zero).
TABLES: dict[str, tuple[Callable[[], Iterator[dict]], float, float]] = {
    "if97": (tables.if97, 1e-11, 1e-3),
    "seawater": (tables.seawater, 2e-8, 1e-3),
    "pss78": (tables.pss78, 1e-9, 1e-3),
    "gas": (tables.gas, 1e-8, 1e-3),
    "distillate_conductivity": (tables.distillate_conductivity, 1e-8, 1e-3),
    "scale": (scale, 1e-4, 1.0),
}
# A difference between two round-offs.
NOT_COMPARED = {"rel_difference"}


def read(path: Path) -> tuple[list[str], list[str], list[dict]]:
    """Comment lines, header and rows of a kept table."""
    lines = path.read_text().splitlines()
    comments = [line for line in lines if line.startswith("#")]
    table = csv.DictReader(line for line in lines if not line.startswith("#"))
    return comments, list(table.fieldnames or []), list(table)


def difference(kept: str, made: object, floor: float) -> float:
    """Relative difference, against the floor for smaller numbers."""
    if isinstance(made, str) or kept == "":
        return 0.0 if kept == str(made) else float("inf")
    number = float(kept)
    return abs(float(made) - number) / max(floor, abs(number))


def compare(name: str, folder: Path) -> bool:
    """Print the worst difference of one table."""
    make, tolerance, floor = TABLES[name]
    _, header, kept = read(folder / f"{name}.csv")
    made = list(make())
    worst, where = 0.0, "-"
    for row, (old, new) in enumerate(zip(kept, made, strict=True), start=1):
        for column in set(header) - NOT_COMPARED:
            gap = difference(old[column], new.get(column, ""), floor)
            if gap > worst:
                worst, where = gap, f"{column}, row {row}: {old[column]} / {new.get(column, '')}"
    good = worst <= tolerance
    print(f"{name:24s} {len(kept):4d} rows  worst {worst:.1e}  {'' if good else 'DIFFERS '}{where}")
    return good


def cell(value: object) -> str:
    """As in the kept tables: ten significant digits."""
    return f"{value:.10g}" if isinstance(value, float) else str(value)


def write(name: str, folder: Path) -> None:
    """Write a recomputed table under the kept table's own comments and header."""
    comments, header, _ = read(HERE / f"{name}.csv")
    with open(folder / f"{name}.csv", "w", newline="") as file:
        file.write("\n".join(comments) + "\n")
        table = csv.DictWriter(file, header, restval="", lineterminator="\n")
        table.writeheader()
        for row in TABLES[name][0]():
            table.writerow({key: cell(row.get(key, "")) for key in header})


def main() -> int:
    """Compare or write all tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--against", type=Path, default=HERE, metavar="DIR")
    parser.add_argument("--write", type=Path, metavar="DIR")
    arguments = parser.parse_args()
    if arguments.write:
        for name in TABLES:
            write(name, arguments.write)
        return 0
    return 0 if all([compare(name, arguments.against) for name in TABLES]) else 1


if __name__ == "__main__":
    sys.exit(main())
