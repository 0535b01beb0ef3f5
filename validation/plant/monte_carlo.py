"""Monte Carlo reference for the uncertainty band: 20,000 draws at three points.

Every draw changes the plant sheet and the readings together, calibrates the plant and solves it.
Writes monte_carlo.csv (nominal, mean, standard deviation, 5th and 95th percentile, and the standard
deviation of the linear law by central differences) and monte_carlo.json (points and sigmas).
"""

from __future__ import annotations

import csv
import json
import math
import sys
from multiprocessing import Pool
from pathlib import Path

import numpy as np

from reference import Plant
from sheet import DEMONSTRATION

HERE = Path(__file__).parent
SEED = 20260918
DRAWS = 20_000
QUANTITIES = (
    "product_t_day",
    "vapour_temp_c",
    "jacket_out_c",
    "sea_out_c",
    "evaporator_heat_w",
    "brine_salinity_g_kg",
)
# kind "add": x + sigma z; "relative": x (1 + sigma z); "log": x exp(sigma z); z standard normal.
SIGMAS = {
    "at": {
        "sea_temp_c": ("add", 0.3),
        "sea_salinity_g_kg": ("add", 0.2),
        "jacket_in_c": ("add", 0.5),
        "jacket_flow_kg_s": ("relative", 0.03),
        "condenser_flow_kg_s": ("relative", 0.05),
        "feed_ratio": ("relative", 0.03),
        "ejector_pressure_bar_g": ("add", 0.05),
        "back_pressure_bar_g": ("add", 0.02),
        "air_leak_kg_h": ("log", 0.35),
        "scale_m2k_w": ("log", 0.30),
        "condenser_fouling_m2k_w": ("log", 0.30),
    },
    "plant": {
        "rated_product_t_day": ("relative", 0.02),
        "rated_vapour_temp_c": ("add", 0.5),
        "rated_gas_capacity_m3_s": ("log", 0.10),
    },
}
POINTS = {
    "rated": {},
    "warm sea, worn": {
        "sea_temp_c": 31.0,
        "jacket_in_c": 80.0,
        "jacket_flow_kg_s": 14.0,
        "condenser_flow_kg_s": 15.0,
        "ejector_pressure_bar_g": 3.8,
        "air_leak_kg_h": 1.5,
        "scale_m2k_w": 5e-5,
        "condenser_fouling_m2k_w": 5e-5,
    },
    "cool sea, low heat": {
        "sea_temp_c": 18.0,
        "jacket_in_c": 76.0,
        "jacket_flow_kg_s": 12.0,
        "air_leak_kg_h": 2.0,
        "scale_m2k_w": 1e-4,
    },
}
RATED_KEYS = {
    "sea_temp_c": "rated_sea_temp_c",
    "sea_salinity_g_kg": "rated_sea_salinity_g_kg",
    "jacket_in_c": "rated_jacket_in_c",
    "jacket_flow_kg_s": "rated_jacket_flow_kg_s",
    "condenser_flow_kg_s": "rated_condenser_flow_kg_s",
    "feed_ratio": "rated_feed_ratio",
    "ejector_pressure_bar_g": "rated_ejector_pressure_bar_g",
    "back_pressure_bar_g": "rated_back_pressure_bar_g",
    "air_leak_kg_h": "rated_air_leak_kg_h",
}
INPUTS = [(side, key) for side in ("at", "plant") for key in SIGMAS[side]]


def nominal(side: str, key: str, point: dict) -> float:
    """The undisturbed value: as given, else rated, else none (0)."""
    if side == "plant":
        return DEMONSTRATION[key]
    return point.get(key, DEMONSTRATION.get(RATED_KEYS.get(key, ""), 0.0))


def moved(side: str, key: str, point: dict, z: float) -> float:
    """The value z standard deviations away."""
    value, (kind, sigma) = nominal(side, key, point), SIGMAS[side][key]
    if kind == "add":
        return value + sigma * z
    return value * (1.0 + sigma * z) if kind == "relative" else value * math.exp(sigma * z)


def outcome(job: tuple[dict, np.ndarray]) -> list[float]:
    """The quantities for one vector of standard normal draws."""
    point, draws = job
    sides: dict[str, dict] = {"at": dict(point), "plant": {}}
    for (side, key), z in zip(INPUTS, draws, strict=True):
        sides[side][key] = moved(side, key, point, float(z))
    plant = Plant(sides["plant"])
    at = plant.conditions(sides["at"])
    answer = plant.result(plant.solve(at), at)
    return [answer[q] for q in QUANTITIES]


def linear_sd(point: dict, step: float = 1e-3) -> np.ndarray:
    """Standard deviation of the linear law, inputs independent."""
    slopes = []
    for i in range(len(INPUTS)):
        z = np.zeros(len(INPUTS))
        z[i] = step
        up, down = outcome((point, z)), outcome((point, -z))
        slopes.append((np.array(up) - np.array(down)) / (2.0 * step))
    return np.sqrt(np.sum(np.square(slopes), axis=0))


def statistics(name: str, point: dict, seed: np.random.SeedSequence, pool: Pool) -> list[list[str]]:
    """Rows of one point."""
    draws = np.random.default_rng(seed).standard_normal((DRAWS, len(INPUTS)))
    found = np.array(pool.map(outcome, [(point, d) for d in draws], chunksize=100))
    centre = outcome((point, np.zeros(len(INPUTS))))
    linear = linear_sd(point)
    rows = []
    for i, quantity in enumerate(QUANTITIES):
        x = found[:, i]
        low, high = np.percentile(x, [5.0, 95.0])
        numbers = (centre[i], x.mean(), x.std(ddof=1), low, high, linear[i])
        rows.append([name, quantity, *(f"{v:.9g}" for v in numbers)])
    return rows


def main() -> int:
    """Write the table and the list of sigmas."""
    seeds = np.random.SeedSequence(SEED).spawn(len(POINTS))
    header = ["point", "quantity", "nominal", "mean", "sd", "p5", "p95", "linear_sd"]
    rows = []
    with Pool(2) as pool:
        for (name, point), seed in zip(POINTS.items(), seeds, strict=True):
            rows += statistics(name, point, seed, pool)
    with open(HERE / "monte_carlo.csv", "w", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows([header, *rows])
    sigmas = {
        side: {k: {"kind": kind, "sigma": sigma} for k, (kind, sigma) in keys.items()}
        for side, keys in SIGMAS.items()
    }
    described = {"draws": DRAWS, "seed": SEED, "points": POINTS, "sigmas": sigmas}
    (HERE / "monte_carlo.json").write_text(json.dumps(described, indent=2) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
