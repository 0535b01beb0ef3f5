"""The worked example: rated and three off-design points to five digits, with the calibration.

Prints every row beside the figures of docs/physics.md and fails if one differs.
"""

from __future__ import annotations

import sys

from limits import rate
from reference import Plant, souders_brown

CASES = {
    "rated": {},
    "A": {"sea_temp_c": 15.0},
    "B": {"jacket_in_c": 70.0, "jacket_flow_kg_s": 9.72, "scale_m2k_w": 1e-4},
    "C": {
        "sea_temp_c": 34.0,
        "condenser_flow_kg_s": 12.0,
        "air_leak_kg_h": 5.0,
        "condenser_fouling_m2k_w": 1e-4,
        "feed_ratio": 2.0,
        "ejector_pressure_bar_g": 3.2,
        "condenser_leak_kg_h": 2.0,
    },
}

ROWS = """
product_t_day 24.000 31.301 9.8172 18.585
gross_t_day 24.102 31.363 9.8666 18.634
shell_pressure_pa 10106 5761.8 7325.1 14380
vapour_temp_c 46.000 35.414 39.817 53.014
brine_temp_c 47.032 36.483 40.717 54.181
condensing_temp_c 45.801 34.470 39.757 52.951
vent_temp_c 42.859 30.200 34.417 41.585
jacket_out_c 74.869 71.590 62.789 77.148
sea_out_c 41.492 27.544 35.906 44.612
brine_salinity_g_kg 49.315 56.118 39.845 57.478
product_salt_mg_kg 3.0000 14.250 0.69574 92.302
blanketed_fraction 0.045454 0.048082 0.47388 0.35973
evaporator_heat_w 688530 911050 293350 533710
condenser_heat_w 665120 877780 273660 510040
vent_loss_kg_s 0.0011775 0.00072262 0.00057177 0.0011160
gas_mol_s 0.010787 0.010952 0.010787 0.048627
capacity_m3_s 0.020000 0.023551 0.014893 0.020184
drop_pa 101.96 293.09 23.146 43.896
souders_brown_m_s 0.041575 0.070161 0.019850 0.027245
evaporator_u_w_m2k 1757.8 1831.6 958.36 1665.7
condenser_u_w_m2k 2513.1 2234.8 2742.5 1812.4
"""

CALIBRATION = {
    "p0": 10106,
    "hj0": 4394.6,
    "hb0": 3662.2,
    "hc0": 4832.8,
    "hk0": 6613.3,
    "k0": 0.041575,
    "e0": 6.0834e-05,
}


def same(value: float, printed: float, digits: int) -> bool:
    """Equal when written with five digits."""
    return float(f"{value:.{digits}g}") == printed


def case_rows(plant: Plant, at_keys: dict) -> dict:
    """All rows of one column."""
    at = plant.conditions(at_keys)
    st = plant.solve(at)
    return plant.result(st, at) | {
        "gross_t_day": st.vapour * 86.4,
        "gas_mol_s": st.gas,
        "capacity_m3_s": st.capacity,
        "drop_pa": st.drop_pa,
        "souders_brown_m_s": souders_brown(st),
    }


def check(label: str, value: float, printed: float, digits: int = 5) -> bool:
    """Print one comparison."""
    good = same(value, printed, digits)
    print(f"{label:32s} {value:14.6g} {printed:14.6g} {'' if good else '  <-- differs'}")
    return good


def main() -> int:
    """Compare everything; 1 if something differs."""
    plant = Plant()
    good = [check(f"{k} (calibration)", getattr(plant, k), v) for k, v in CALIBRATION.items()]
    columns = {name: case_rows(plant, at) for name, at in CASES.items()}
    for line in ROWS.split("\n"):
        if not line:
            continue
        key, *printed = line.split()
        for (name, column), text in zip(columns.items(), printed, strict=True):
            good.append(check(f"{key} {name}", column[key], float(text)))
    sag = rate(plant, {"engine_load": 40, "heat_short": "sag"})
    good.append(check("sag evaporator_heat_w", sag["evaporator_heat_w"], 544460))
    good.append(check("sag jacket_in_c", sag["jacket_in_c"], 77.232))
    good.append(check("sag product_t_day", sag["product_t_day"], 18.874))
    bypass = rate(plant, {"engine_load": 40})
    good.append(check("by-pass jacket_flow_kg_s", bypass["jacket_flow_kg_s"], 9.742, 4))
    good.append(check("by-pass product_t_day", bypass["product_t_day"], 18.874))
    print(f"{sum(good)} of {len(good)} rows agree")
    return 0 if all(good) else 1


if __name__ == "__main__":
    sys.exit(main())
