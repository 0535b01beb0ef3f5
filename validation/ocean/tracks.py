"""Makes tracks.csv: rhumb lines and geodesics by GeographicLib's own RhumbSolve and GeodSolve, over seeded pairs.

Usage: python tracks.py [FOLDER WITH RhumbSolve AND GeodSolve] (Debian geographiclib-tools 2.1.2-1).
"""

import random
import subprocess
import sys
from pathlib import Path


def pairs():
    """Pairs over the whole earth, and those that break careless formulas."""
    rng = random.Random(20261125)
    whole = lambda: (round(rng.uniform(-89, 89), 6), round(rng.uniform(-180, 180), 6))
    for _ in range(120):
        yield whole() + whole()
    for _ in range(40):  # neighbours, a hundred miles down to a metre
        lat, lon = whole()
        reach = 10 ** rng.uniform(-5, 0)
        yield lat, lon, round(lat + rng.uniform(-1, 1) * reach, 9), round(lon + rng.uniform(-1, 1) * reach, 9)
    for _ in range(20):  # along a parallel, or all but
        lat, lon = whole()
        yield lat, lon, round(lat + rng.choice([0, 1e-9, -1e-7, 1e-5]), 9), round(rng.uniform(-180, 180), 6)
    for _ in range(10):  # along a meridian
        lat, lon = whole()
        yield lat, lon, whole()[0], lon
    for _ in range(20):  # across the date line
        yield round(rng.uniform(-70, 70), 6), round(rng.uniform(170, 180), 6), round(rng.uniform(-70, 70), 6), round(rng.uniform(-180, -170), 6)
    for _ in range(15):  # polar waters, where a rhumb line winds
        yield round(rng.uniform(85, 89.9), 6), round(rng.uniform(-180, 180), 6), round(rng.uniform(60, 89.99), 6), round(rng.uniform(-180, 180), 6)


def solve(tool, rows):
    """Course and length of each pair, to a nanometre."""
    lines = "\n".join(" ".join(f"{x:.9f}" for x in row) for row in rows)
    done = subprocess.run([tool, "-i", "-p", "9"], input=lines, capture_output=True, text=True, check=True)
    return [line.split() for line in done.stdout.splitlines()]


def main():
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path("/usr/bin")
    rows = list(pairs())
    rhumb, short = solve(folder / "RhumbSolve", rows), solve(folder / "GeodSolve", rows)
    out = ["lat1,lon1,lat2,lon2,rhumb_course,rhumb_m,geodesic_course_from,geodesic_course_to,geodesic_m"]
    for row, (course, length, _), (start, end, geodesic) in zip(rows, rhumb, short):
        out.append(",".join([*(f"{x:.9f}" for x in row), course, length, start, end, geodesic]))
    Path(__file__).with_name("tracks.csv").write_text("\n".join(out) + "\n")


main()
