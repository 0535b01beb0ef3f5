"""Makes points.csv: seeded random points over the stated ranges, limits, other sheets, refusals.

python make_points.py            # writes points.csv
python make_points.py --compare  # recomputes every line and reports the largest difference
"""

from __future__ import annotations

import argparse
import csv
import json
import sys
from collections import Counter
from collections.abc import Iterator
from multiprocessing import Pool
from pathlib import Path

import numpy as np

from limits import rate
from reference import Plant
from sheet import Infeasible

HERE = Path(__file__).parent
SEED = 20260917

# Stated ranges of the checks.
RANGES = {
    "sea_temp_c": (5.0, 36.0),
    "jacket_in_c": (60.0, 92.0),
    "jacket_flow_kg_s": (0.3 * 16.2, 1.1 * 16.2),
    "condenser_flow_kg_s": (0.4 * 17.5, 1.1 * 17.5),
    "feed_ratio": (1.5, 6.0),
    "scale_m2k_w": (0.0, 5e-4),
    "condenser_fouling_m2k_w": (0.0, 4e-4),
    "air_leak_kg_h": (0.2, 15.0),
    "ejector_pressure_bar_g": (2.0, 4.5),
    "condenser_leak_kg_h": (0.0, 20.0),
}
# Keys the stated ranges leave at rated, for a share of the points.
FURTHER = {
    "sea_salinity_g_kg": (5.0, 42.0),
    "back_pressure_bar_g": (0.2, 0.7),
    "air_bleed_kg_h": (0.0, 4.0),
    "room_temp_c": (15.0, 50.0),
    "barometer_hpa": (950.0, 1045.0),
    "ejector_factor": (0.6, 1.0),
    "demister_factor": (1.0, 6.0),
}
RESULT_KEYS = (
    "product_t_day vapour_kg_s shell_pressure_pa vacuum_percent vapour_temp_c brine_temp_c "
    "condensing_temp_c vent_temp_c jacket_out_c sea_out_c brine_salinity_g_kg product_salt_mg_kg "
    "evaporator_heat_w condenser_heat_w blanketed_fraction vent_loss_kg_s over_level "
    "evaporator_u_w_m2k condenser_u_w_m2k jacket_in_c jacket_flow_kg_s condenser_flow_kg_s "
    "air_bleed_kg_h heat_limited trims"
).split()


def short(x: float) -> float:
    """Six significant digits, so that the input reads the same everywhere."""
    return float(f"{x:.6g}")


def draw(rng: np.random.Generator, ranges: dict, share: float = 1.0) -> dict:
    """Uniform over the ranges; each key is given with the probability `share`."""
    return {k: short(rng.uniform(*v)) for k, v in ranges.items() if rng.random() < share}


def free_points(rng: np.random.Generator) -> Iterator[tuple]:
    """Over the stated ranges, all together; then with one or a few keys; then the further keys."""
    for i in range(420):
        yield f"free-{i:03d}", {}, draw(rng, RANGES)
    for i in range(120):
        yield f"few-{i:03d}", {}, draw(rng, RANGES, 0.25)
    for i in range(120):
        at = draw(rng, RANGES, 0.6) | draw(rng, FURTHER, 0.5)
        if i % 6 == 0:
            at["feed_flow_kg_s"] = short(rng.uniform(0.45, 1.6))
            at.pop("feed_ratio", None)
        if i % 8 == 0:
            at["motive_temp_c"] = short(at.get("sea_temp_c", 32.0) + rng.uniform(0.0, 8.0))
        yield f"further-{i:03d}", {}, at


def edge_points() -> Iterator[tuple]:
    """Points chosen to fail, each for its own reason, and the worked example."""
    cases = [
        {},
        {"sea_temp_c": 15.0},
        {"jacket_in_c": 70.0, "jacket_flow_kg_s": 9.72, "scale_m2k_w": 1e-4},
        {"jacket_in_c": 32.5},
        {"jacket_in_c": 40.0},
        {"jacket_in_c": 30.0},
        {"ejector_pressure_bar_g": 1.5},
        {"ejector_pressure_bar_g": 1.2, "back_pressure_bar_g": 0.7},
        {"ejector_pressure_bar_g": 0.8, "back_pressure_bar_g": 0.7},
        {"ejector_factor": 0.0},
        {"air_leak_kg_h": 60.0},
        {"air_leak_kg_h": 200.0},
        {"air_bleed_kg_h": 100.0},
        {"feed_ratio": 1.1},
        {"feed_ratio": 0.9},
        {"feed_ratio": 1.5, "sea_temp_c": 10.0, "sea_salinity_g_kg": 42.0, "jacket_in_c": 92.0},
        {"sea_temp_c": 36.0, "air_leak_kg_h": 15.0, "ejector_pressure_bar_g": 2.0},
        {"scale_m2k_w": 0.02},
        {"condenser_fouling_m2k_w": 0.02},
        {"barometer_hpa": 950.0},
        {"motive_temp_c": 44.0},
        {"motive_temp_c": 60.0},
    ]
    for i, at in enumerate(cases):
        yield f"edge-{i:02d}", {}, at


def trimmed_points(rng: np.random.Generator) -> Iterator[tuple]:
    """Cold seas and strong heat, held at the maker's maximum and the least vapour temperature."""
    mild = RANGES | {
        "feed_ratio": (2.5, 5.0),
        "air_leak_kg_h": (0.3, 4.0),
        "ejector_pressure_bar_g": (3.2, 4.5),
        "scale_m2k_w": (0.0, 1.5e-4),
        "condenser_fouling_m2k_w": (0.0, 1.5e-4),
        "sea_temp_c": (5.0, 30.0),
        "jacket_in_c": (70.0, 92.0),
    }
    sheets = [
        {},
        {},
        {},
        {"cold_trim": "bleed"},
        {"cold_trim": "none"},
        {"product_max_t_day": 18.0},
        {"vapour_temp_min_c": 45.0, "sea_out_max_c": 40.0},
        {"cold_trim": "bleed", "product_max_t_day": 20.0, "vapour_temp_min_c": 43.0},
    ]
    for i in range(192):
        at = draw(rng, mild, 0.7) | {"trimmed": True}
        yield f"trimmed-{i:03d}", sheets[i % len(sheets)], at


def engine_points(rng: np.random.Generator) -> Iterator[tuple]:
    """Engine loads low enough to bind, by by-pass and by sag, free and trimmed."""
    some = RANGES | {
        "feed_ratio": (2.5, 5.0),
        "air_leak_kg_h": (0.3, 4.0),
        "ejector_pressure_bar_g": (3.2, 4.5),
        "scale_m2k_w": (0.0, 2e-4),
        "condenser_fouling_m2k_w": (0.0, 1.5e-4),
        "jacket_in_c": (75.0, 92.0),
    }
    tables = [
        {},
        {},
        {"jacket_heat_reserve_kw": 120.0},
        {"jacket_heat_table": [[20, 260], [35, 420], [60, 800], [90, 1000], [100, 1350]]},
        {"product_max_t_day": 15.0},
    ]
    for i in range(180):
        at = draw(rng, some, 0.5) | {"engine_load": short(rng.uniform(15.0, 70.0))}
        if i % 2:
            at["heat_short"] = "sag"
        if i % 4 >= 2:
            at["trimmed"] = True
        yield f"engine-{i:03d}", tables[i % len(tables)], at
    yield "engine-worked-sag", {}, {"engine_load": 40, "heat_short": "sag"}
    yield "engine-worked-bypass", {}, {"engine_load": 40}
    yield "engine-no-heat", {"jacket_heat_reserve_kw": 500.0}, {"engine_load": 20}


def other_sheet(rng: np.random.Generator) -> dict:
    """A plant of another size and rating, sized to be sound in most draws."""
    size = rng.uniform(0.3, 2.5)
    sheet = {
        "rated_product_t_day": 24.0 * size,
        "rated_jacket_in_c": rng.uniform(76.0, 90.0),
        "rated_jacket_flow_kg_s": 16.2 * size * rng.uniform(0.8, 1.4),
        "rated_sea_temp_c": rng.uniform(25.0, 34.0),
        "rated_condenser_flow_kg_s": 17.5 * size * rng.uniform(0.85, 1.5),
        "rated_feed_ratio": rng.uniform(2.5, 5.0),
        "rated_vapour_temp_c": rng.uniform(44.0, 52.0),
        "rated_product_salt_mg_kg": rng.uniform(1.0, 8.0),
        "rated_ejector_pressure_bar_g": rng.uniform(3.5, 5.0),
        "rated_back_pressure_bar_g": rng.uniform(0.2, 0.45),
        "rated_gas_capacity_m3_s": 0.02 * size * rng.uniform(0.8, 1.5),
        "rated_air_leak_kg_h": size * rng.uniform(0.4, 1.2),
        "brine_capacity_kg_s": 1.6 * size,
        "separation_area_m2": 0.8 * size * rng.uniform(0.8, 1.3),
        "demister_drop": rng.uniform(60.0, 160.0),
        "static_head_k": rng.uniform(0.0, 1.0),
        "heat_loss_w_k": 50.0 * size,
        "evaporator_area_m2": 12.0 * size * rng.uniform(0.8, 1.3),
        "condenser_area_m2": 34.0 * size * rng.uniform(0.6, 1.2),
    }
    closures = {
        "rated_sea_salinity_g_kg": rng.uniform(30.0, 39.0),
        "evaporator_split": [0.45, 0.10, 0.45],
        "condenser_split": [0.48, 0.12, 0.40],
        "convective_share": rng.uniform(0.1, 0.5),
        "blanketing_exponent": rng.uniform(1.0, 4.0),
        "flooding_velocity_m_s": rng.uniform(0.08, 0.13),
        "mist_floor": rng.uniform(0.05, 0.4),
        "stall_ratio": rng.uniform(0.3, 0.45),
        "rated_motive_temp_c": sheet["rated_sea_temp_c"] + rng.uniform(0.0, 6.0),
        "alkalinity_mmol_kg": rng.uniform(1.8, 2.6),
        "co2_release": rng.uniform(0.0, 1.0),
    }
    for key, value in closures.items():
        if rng.random() < 0.4:
            sheet[key] = value
    if rng.random() < 0.5:
        sheet["feed_from"] = "sea"
    return {k: short(v) if isinstance(v, float) else v for k, v in sheet.items()}


def other_sheets(rng: np.random.Generator) -> Iterator[tuple]:
    """Other plants at their rated point and off it; the demonstration plant fed from the sea."""
    relative = {"jacket_flow_kg_s": (0.4, 1.1), "condenser_flow_kg_s": (0.5, 1.1)}
    for i in range(80):
        sheet = other_sheet(rng)
        at = draw(rng, RANGES, 0.5)
        at.pop("ejector_pressure_bar_g", None)
        for key, span in relative.items():
            if key in at:
                at[key] = short(sheet["rated_" + key] * rng.uniform(*span))
        yield f"sheet-{i:03d}", sheet, {} if i % 5 == 0 else at
    closures = [
        {"feed_from": "sea"},
        {"blanketing_exponent": 1.0},
        {"blanketing_exponent": 4.0},
        {"convective_share": 0.0001},
        {"convective_share": 0.5},
        {"co2_release": 0.0},
        {"stall_ratio": 0.5},
        {"rated_motive_temp_c": 36.0},
    ]
    for i, sheet in enumerate(closures * 3):
        yield f"closure-{i:02d}", sheet, draw(rng, RANGES, 0.5)
    refused = [
        {"rated_condenser_flow_kg_s": 9.0},
        {"rated_jacket_flow_kg_s": 3.0},
        {"rated_back_pressure_bar_g": 1.5},
        {"rated_gas_capacity_m3_s": 0.001},
        {"rated_air_leak_kg_h": 30.0},
        {"rated_jacket_in_c": 47.5},
        {"rated_vapour_temp_c": 33.0},
    ]
    for i, sheet in enumerate(refused):
        yield f"refused-{i}", sheet, {}


def all_points() -> list[tuple]:
    """Every case in the order of the file; each family has its own generator."""
    seeds = np.random.SeedSequence(SEED).spawn(4)
    rngs = [np.random.default_rng(s) for s in seeds]
    return [
        *edge_points(),
        *free_points(rngs[0]),
        *trimmed_points(rngs[1]),
        *engine_points(rngs[2]),
        *other_sheets(rngs[3]),
    ]


def text(value: object) -> str:
    """A cell: 12 significant digits, 1/0, or JSON."""
    if isinstance(value, bool):
        return str(int(value))
    if isinstance(value, list):
        rounded = [{k: short12(v) for k, v in move.items()} for move in value]
        return json.dumps(rounded)
    return f"{value:.12g}"


def short12(value: object) -> object:
    """Twelve significant digits for numbers."""
    return float(f"{value:.12g}") if isinstance(value, float) else value


def line(point: tuple) -> dict:
    """One row of the table."""
    case, sheet, at = point
    row = {"case": case, "plant": json.dumps(sheet), "at": json.dumps(at)}
    try:
        answer = rate(Plant(sheet), at)
    except Infeasible as error:
        return row | {"feasible": "0", "kind": error.kind}
    return row | {"feasible": "1", "kind": ""} | {k: text(answer[k]) for k in RESULT_KEYS}


def write(rows: list[dict]) -> None:
    """Write the table and say what is in it."""
    header = ["case", "plant", "at", "feasible", "kind", *RESULT_KEYS]
    with open(HERE / "points.csv", "w", newline="") as file:
        table = csv.DictWriter(file, header, restval="", lineterminator="\n")
        table.writeheader()
        table.writerows(rows)
    families = Counter((r["case"].split("-")[0], r["kind"] or "feasible") for r in rows)
    for (family, kind), count in sorted(families.items()):
        print(f"{family:10s} {kind:24s} {count}")


def compare(rows: list[dict]) -> int:
    """Largest relative difference to the table kept beside this script."""
    worst = (0.0, "", "")
    with open(HERE / "points.csv", newline="") as file:
        for kept, made in zip(csv.DictReader(file), rows, strict=True):
            if (kept["case"], kept["feasible"], kept["kind"]) != (
                made["case"],
                made["feasible"],
                made["kind"],
            ):
                print("differs:", kept["case"], kept["kind"], made["kind"])
                return 1
            for key in RESULT_KEYS[:-2] if kept["feasible"] == "1" else ():
                a, b = float(kept[key]), float(made[key])
                worst = max(worst, (abs(a - b) / max(abs(a), 1e-300), kept["case"], key))
    print(f"largest relative difference {worst[0]:.1e} ({worst[1]}, {worst[2]})")
    return 0


def main() -> int:
    """Make or compare the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--compare", action="store_true")
    arguments = parser.parse_args()
    with Pool() as pool:
        rows = pool.map(line, all_points(), chunksize=8)
    if arguments.compare:
        return compare(rows)
    write(rows)
    return 0


if __name__ == "__main__":
    sys.exit(main())
