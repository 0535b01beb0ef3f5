"""Scans every free point of points.csv for further solutions, and the levers of limited points.

For each point 60 shell pressures between the sea's and the jacket's saturation pressure (sign
changes of the condenser's residual), at the solution 60 vapour flows up to the cap (sign changes of
the evaporator's residual); for limited points ten jacket flows, with which product and duty rise.
"""

from __future__ import annotations

import csv
import json
import math
import sys
from collections import Counter
from multiprocessing import Pool
from pathlib import Path

import numpy as np

import properties as w
from limits import Settled, cold_trim
from reference import LEAST_DRIVE_K, SALINITY_CAP_G_KG, Plant
from sheet import At, Infeasible

STEPS = 60


def sign_changes(signs: list[bool]) -> int:
    """Number of changes along a list."""
    return int(np.sum(np.diff(np.array(signs, int)) != 0))


def outer(plant: Plant, at: At) -> int:
    """Sign changes of the condenser's residual over shell pressure."""
    signs = []
    low, high = (math.log(w.saturation_pressure(t)) for t in (at.sea_c, at.jacket_in_c))
    for log_p in np.linspace(low, high, STEPS):
        st, _ = plant.evaporated(math.exp(log_p), at)
        signs.append(plant.condenser_rate(st, at) > st.condenser_heat)
    return sign_changes(signs)


def inner(plant: Plant, at: At, p: float) -> int:
    """Sign changes of the evaporator's residual over vapour at the solution's pressure."""
    cap = at.feed_flow * (1.0 - at.salinity / SALINITY_CAP_G_KG)
    signs = []
    for vapour in np.linspace(1e-4 * cap, cap * (1.0 - 1e-9), STEPS):
        st = plant.state(p, vapour, at)
        signs.append(plant.evaporator_heat(st, at) > plant.heat_demand(st, at))
    return sign_changes(signs)


def rising(plant: Plant, at: At, trimmed: bool) -> bool:
    """Whether product and duty rise with jacket flow, cold trim made."""
    found = []
    for share in np.linspace(0.1, 1.0, 10):
        less = at.but(jacket_flow=share * at.jacket_flow)
        try:
            done = cold_trim(plant, less) if trimmed else Settled(plant.solve(less), less)
        except Infeasible:
            continue
        heat = plant.evaporator_heat(done.state, done.at)
        found.append((plant.product(done.state, done.at), heat))
    return bool(np.all(np.diff(found, axis=0) > 0.0))


def scan(row: dict) -> list[str]:
    """Findings of one point, as words to be counted."""
    if row["kind"] == "sheet_refused":
        return []
    plant, keys = Plant(json.loads(row["plant"])), json.loads(row["at"])
    at = plant.conditions(keys)
    solved = row["feasible"] == "1"
    if row["case"].split("-")[0] in ("trimmed", "engine"):
        if not solved:
            return []
        return [f"lever {'rises' if rising(plant, at, keys.get('trimmed', False)) else 'FALLS'}"]
    if at.jacket_in_c <= at.sea_c + LEAST_DRIVE_K:
        return []
    found = [f"{'solved' if solved else 'refused'}: {outer(plant, at)} sign changes over pressure"]
    if solved:
        found.append(f"{inner(plant, at, float(row['shell_pressure_pa']))} inner roots")
    return found


def main() -> int:
    """Scan and count."""
    with open(Path(__file__).parent / "points.csv", newline="") as file:
        rows = list(csv.DictReader(file))
    with Pool() as pool:
        counts = Counter(word for found in pool.map(scan, rows, chunksize=8) for word in found)
    for word, count in sorted(counts.items()):
        print(f"{count:5d}  {word}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
