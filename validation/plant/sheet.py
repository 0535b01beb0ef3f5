"""Plant sheet of the demonstration plant, conditions of a point and the error both can end in."""

from __future__ import annotations

from dataclasses import dataclass

DEMONSTRATION = {
    "rated_product_t_day": 24.0,
    "rated_jacket_in_c": 85.0,
    "rated_jacket_flow_kg_s": 16.2,
    "rated_sea_temp_c": 32.0,
    "rated_sea_salinity_g_kg": 35.165,
    "rated_condenser_flow_kg_s": 17.5,
    "rated_feed_ratio": 3.5,
    "rated_vapour_temp_c": 46.0,
    "rated_product_salt_mg_kg": 3.0,
    "rated_ejector_pressure_bar_g": 4.0,
    "rated_back_pressure_bar_g": 0.4,
    "rated_gas_capacity_m3_s": 0.020,
    "rated_air_leak_kg_h": 1.0,
    "brine_capacity_kg_s": 1.05,
    "separation_area_m2": 0.80,
    "demister_drop": 115.0,
    "static_head_k": 0.5,
    "heat_loss_w_k": 50.0,
    "evaporator_area_m2": 12.0,
    "condenser_area_m2": 34.0,
    "evaporator_split": [0.40, 0.12, 0.48],
    "condenser_split": [0.52, 0.10, 0.38],
    "convective_share": 0.3,
    "blanketing_exponent": 2.0,
    "flooding_velocity_m_s": 0.107,
    "mist_floor": 0.2,
    "stall_ratio": 0.35,
    "rated_motive_temp_c": None,
    "alkalinity_mmol_kg": 2.3,
    "co2_release": 0.6,
    "feed_from": "condenser",
    "jacket_heat_table": [[25, 430], [50, 700], [75, 950], [85, 1050], [100, 1200], [110, 1300]],
    "jacket_heat_reserve_kw": 50.0,
    "jacket_low_limit_c": 75.0,
    "product_max_t_day": 25.0,
    "vapour_temp_min_c": 40.0,
    "sea_out_max_c": 50.0,
    "cold_trim": "throttle",
}


class Infeasible(Exception):
    """The plant sheet or the point has no solution; `kind` is the word of the interchange."""

    def __init__(self, kind: str, message: str) -> None:
        super().__init__(message)
        self.kind = kind


@dataclass(frozen=True)
class At:
    """Conditions of one point, SI units inside."""

    sea_c: float
    salinity: float
    jacket_in_c: float
    jacket_flow: float
    condenser_flow: float
    feed_flow: float
    motive_pa: float
    back_pa: float
    leak_kg_s: float
    bleed_kg_s: float
    scale: float
    fouling: float
    sea_leak: float
    room_c: float
    motive_c: float
    ejector_factor: float
    demister_factor: float
    barometer_pa: float

    def but(self, **changes: float) -> At:
        """The same conditions with some changed."""
        return At(**{**self.__dict__, **changes})
