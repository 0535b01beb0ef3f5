"""Independent steady model of the jacket-heated vacuum evaporator (numpy, scipy, CoolProp IF97).

Written from the equations alone, in plain scalar Python, to be compared with the Rust crate: the
calibration from a plant sheet, the free solution, the trimmed solution, the engine's heat limit by
by-pass and by sag, and the reasons a point has no solution. SI units inside; the names of the
interchange table at the edges.

    python reference.py < points.jsonl        # one {"plant": {...}, "at": {...}} a line
"""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

import properties as w
from sheet import DEMONSTRATION, At, Infeasible

DAY_S = 86400.0
HOUR_S = 3600.0
STANDARD_ATM_PA = 101325.0
CHOKED_RATIO = 0.528
SALINITY_CAP_G_KG = 200.0
ALKALINITY_REFERENCE_G_KG = 35.165
LEAST_VAPOUR_SHARE = 0.002
OPEN_JET_SHARE = 0.9
LEAST_DRIVE_K = 1.0
HOTTEST_C = 150.0


@dataclass
class State:
    """Everything that is explicit in shell pressure and gross vapour."""

    p: float
    vapour: float
    gas: float
    vapour_pa: float
    vapour_c: float
    brine_salinity: float
    brine_c: float
    vapour_enthalpy: float
    vapour_density: float
    velocity: float
    drop_pa: float
    condensing_c: float
    jet: float
    capacity: float
    vent_c: float
    blanketed: float
    vent_loss: float
    condenser_heat: float
    sea_out_c: float


def jet_shape(n: float, stall: float) -> float:
    """Share of the jet's capacity left at pressure ratio N: 1 to 0.9 N_s, falling to 0 at N_s."""
    return min(1.0, max(0.0, (stall - n) / (stall * (1.0 - OPEN_JET_SHARE))))


def motive_vapour_factor(p: float, motive_c: float) -> float:
    """What the motive water's own vapour leaves of the suction volume."""
    return max(0.0, 1.0 - (w.saturation_pressure(motive_c) / p) ** 2)


def leak_factor(p: float, atm: float) -> float:
    """In-leak against its choked value at the standard atmosphere."""
    ratio = p / atm
    if ratio < CHOKED_RATIO:
        return atm / STANDARD_ATM_PA
    slope = (ratio - CHOKED_RATIO) / (1.0 - CHOKED_RATIO)
    return atm / STANDARD_ATM_PA * math.sqrt(max(0.0, 1.0 - slope**2))


def film_factor(t_c: float) -> float:
    """Temperature part of McAdams' water equation."""
    return 1.0 + 0.0146 * t_c


def fixed_point(step: Callable[[float], float], start: float) -> float:
    """Solve x = step(x) by Steffensen's method."""
    x = start
    for _ in range(60):
        x1 = step(x)
        x2 = step(x1)
        if abs(x2 - x1) <= 1e-14 * max(1.0, abs(x2)):
            return x2
        bend = x2 - 2.0 * x1 + x
        x = x2 if bend == 0.0 else x - (x1 - x) ** 2 / bend
    return x


class Plant:
    """One calibrated plant sheet."""

    def __init__(self, overrides: dict | None = None) -> None:
        overrides = overrides or {}
        unknown = set(overrides) - set(DEMONSTRATION)
        if unknown:
            raise KeyError(f"unknown plant keys: {sorted(unknown)}")
        self.sheet = {**DEMONSTRATION, **overrides}
        self._calibrate()

    # --- conditions -----------------------------------------------------------------------------

    def conditions(self, at: dict) -> At:
        """Read the interchange keys of a point; what is missing is rated."""
        s = self.sheet

        def read(key: str) -> float:
            return at.get(key, s["rated_" + key])

        atm = 100.0 * at.get("barometer_hpa", 1013.25)
        sea_c = read("sea_temp_c")
        rated_motive = s["rated_motive_temp_c"]
        offset = 0.0 if rated_motive is None else rated_motive - s["rated_sea_temp_c"]
        ratio = read("feed_ratio")
        return At(
            sea_c=sea_c,
            salinity=read("sea_salinity_g_kg"),
            jacket_in_c=read("jacket_in_c"),
            jacket_flow=read("jacket_flow_kg_s"),
            condenser_flow=read("condenser_flow_kg_s"),
            feed_flow=at.get("feed_flow_kg_s", ratio * s["rated_product_t_day"] * 1000.0 / DAY_S),
            motive_pa=1e5 * at.get("ejector_pressure_bar_g", s["rated_ejector_pressure_bar_g"])
            + atm,
            back_pa=1e5 * at.get("back_pressure_bar_g", s["rated_back_pressure_bar_g"]) + atm,
            leak_kg_s=read("air_leak_kg_h") / HOUR_S,
            bleed_kg_s=at.get("air_bleed_kg_h", 0.0) / HOUR_S,
            scale=at.get("scale_m2k_w", 0.0),
            fouling=at.get("condenser_fouling_m2k_w", 0.0),
            sea_leak=at.get("condenser_leak_kg_h", 0.0) / HOUR_S,
            room_c=at.get("room_temp_c", 40.0),
            motive_c=at.get("motive_temp_c", sea_c + offset),
            ejector_factor=at.get("ejector_factor", 1.0),
            demister_factor=at.get("demister_factor", 1.0),
            barometer_pa=atm,
        )

    # --- the explicit chain -----------------------------------------------------------------------

    def gas_load(self, p: float, at: At) -> float:
        """Non-condensable gas reaching the vent, mol/s."""
        s = self.sheet
        air = (at.leak_kg_s * leak_factor(p, at.barometer_pa) + at.bleed_kg_s) / w.M_AIR
        dissolved = at.feed_flow * w.dissolved_air(at.sea_c, at.salinity)
        alkalinity = 1e-3 * s["alkalinity_mmol_kg"] * at.salinity / ALKALINITY_REFERENCE_G_KG
        return air + dissolved + at.feed_flow * s["co2_release"] * alkalinity / 2.0

    def jet(self, p: float, at: At) -> float:
        """Common factor J of the ejector (pressures of `at`, rated from the calibration)."""
        if at.motive_pa <= p:
            return 0.0
        stall = self.sheet["stall_ratio"]
        n = (at.back_pa - p) / (at.motive_pa - p)
        drive = math.sqrt((at.motive_pa - p) / (self.motive0_pa - self.p0))
        shape = jet_shape(n, stall) / jet_shape(self.n0, stall)
        return at.ejector_factor * drive * shape

    def gas_capacity(self, p: float, jet: float, at: At) -> float:
        """Ejector suction capacity, m3/s."""
        v = motive_vapour_factor(p, at.motive_c)
        return self.sheet["rated_gas_capacity_m3_s"] * jet * v / self.v0

    def state(self, p: float, vapour: float, at: At) -> State:
        """Everything explicit in (p, D)."""
        jet = self.jet(p, at)
        return self._chain(p, vapour, at, jet, self.gas_capacity(p, jet, at))

    def _chain(self, p: float, vapour: float, at: At, jet: float, capacity: float) -> State:
        s = self.sheet
        gas = self.gas_load(p, at)
        vapour_pa = p * (1.0 - gas / (gas + vapour / w.M_WATER))
        vapour_c = w.saturation_temperature(vapour_pa)
        brine_salinity = at.feed_flow * at.salinity / (at.feed_flow - vapour)
        bpe = w.boiling_point_elevation(vapour_c, brine_salinity)
        brine_c = vapour_c + bpe + s["static_head_k"]
        enthalpy, density = w.steam(vapour_pa, brine_c)
        velocity = vapour / (density * s["separation_area_m2"])
        drop = s["demister_drop"] * density * velocity**2 / 2.0
        condensing_c = w.saturation_temperature(vapour_pa - drop)
        vent_c, blanketed, vent_loss = self._vent(p - drop, gas, vapour, condensing_c, capacity, at)
        duty = (vapour - vent_loss) * (enthalpy - w.liquid_enthalpy(condensing_c))
        return State(
            p=p,
            vapour=vapour,
            gas=gas,
            vapour_pa=vapour_pa,
            vapour_c=vapour_c,
            brine_salinity=brine_salinity,
            brine_c=brine_c,
            vapour_enthalpy=enthalpy,
            vapour_density=density,
            velocity=velocity,
            drop_pa=drop,
            condensing_c=condensing_c,
            jet=jet,
            capacity=capacity,
            vent_c=vent_c,
            blanketed=blanketed,
            vent_loss=vent_loss,
            condenser_heat=duty,
            sea_out_c=self._sea_out(duty, at),
        )

    def _vent(
        self, p: float, gas: float, vapour: float, condensing_c: float, capacity: float, at: At
    ) -> tuple[float, float, float]:
        """Vent temperature, blanketed fraction and vapour lost; p is the pressure at the vent."""
        if capacity <= 0.0 or condensing_c <= at.sea_c:
            return at.sea_c, 1.0, 0.0

        def air_pa(t_c: float) -> float:
            return gas * w.GAS_CONSTANT * (t_c + w.KELVIN) / capacity

        def excess(t_c: float) -> float:
            return w.saturation_pressure(t_c) + air_pa(t_c) - p

        if excess(at.sea_c) > 0.0:
            return at.sea_c, 1.0, 0.0
        vent_c = condensing_c
        if excess(condensing_c) > 0.0:
            vent_c = brentq(excess, at.sea_c, condensing_c, xtol=1e-13, rtol=1e-15)
        x = (condensing_c - vent_c) / (condensing_c - at.sea_c)
        loss = w.M_WATER * gas * w.saturation_pressure(vent_c) / air_pa(vent_c)
        return vent_c, x ** self.sheet["blanketing_exponent"], min(loss, vapour)

    def _sea_out(self, duty: float, at: At) -> float:
        def step(out_c: float) -> float:
            cp = w.seawater_heat_capacity(min(0.5 * (at.sea_c + out_c), HOTTEST_C), at.salinity)
            return at.sea_c + duty / (at.condenser_flow * cp)

        return fixed_point(step, step(at.sea_c))

    # --- evaporator -------------------------------------------------------------------------------

    def jacket_out(self, heat: float, at: At) -> tuple[float, float]:
        """Jacket outlet temperature and the heat capacity at the mean temperature."""

        def step(out_c: float) -> float:
            cp = w.jacket_heat_capacity(0.5 * (at.jacket_in_c + out_c))
            return at.jacket_in_c - heat / (at.jacket_flow * cp)

        out_c = fixed_point(step, step(at.jacket_in_c))
        return out_c, w.jacket_heat_capacity(0.5 * (at.jacket_in_c + out_c))

    def evaporator_u(self, heat: float, jacket_mean_c: float, vapour_pa: float, at: At) -> float:
        """Evaporator coefficient, W/m2K, for a given duty."""
        s = self.sheet
        flow = (at.jacket_flow / s["rated_jacket_flow_kg_s"]) ** 0.8
        jacket = self.hj0 * flow * film_factor(jacket_mean_c) / film_factor(self.tj0)
        x = (max(heat, 0.0) / self.qe0) ** 0.7 * w.mostinski(vapour_pa) / w.mostinski(self.pv0)
        base = s["convective_share"] ** 3
        boiling = self.hb0 * ((1.0 - base) * x**3 + base) ** (1.0 / 3.0)
        return 1.0 / (1.0 / jacket + self.rwe + at.scale + 1.0 / boiling)

    def evaporator_heat(self, st: State, at: At) -> float:
        """Duty of the rate equation, solved for the outlet; zero without a driving temperature."""
        if at.jacket_in_c <= st.brine_c:
            return 0.0

        def duty(out_c: float) -> tuple[float, float]:
            mean_c = 0.5 * (at.jacket_in_c + out_c)
            c = at.jacket_flow * w.jacket_heat_capacity(mean_c)
            u = self.evaporator_u(c * (at.jacket_in_c - out_c), mean_c, st.vapour_pa, at)
            ntu = u * self.sheet["evaporator_area_m2"] / c
            return c, c * (at.jacket_in_c - st.brine_c) * -math.expm1(-ntu)

        def step(out_c: float) -> float:
            c, heat = duty(out_c)
            return at.jacket_in_c - heat / c

        out_c = fixed_point(step, at.jacket_in_c - 0.4 * (at.jacket_in_c - st.brine_c))
        return duty(out_c)[1]

    def feed_temperature(self, st: State, at: At) -> float:
        """Where the feed is taken from; held while bracketing, where the outlet can run away."""
        return min(st.sea_out_c, HOTTEST_C) if self.sheet["feed_from"] == "condenser" else at.sea_c

    def heat_demand(self, st: State, at: At) -> float:
        """Heat the evaporator must get to make D from the feed."""
        brine = at.feed_flow - st.vapour
        feed_in = w.seawater_enthalpy(self.feed_temperature(st, at), at.salinity)
        brine_out = w.seawater_enthalpy(st.brine_c, st.brine_salinity)
        loss = self.sheet["heat_loss_w_k"] * (st.brine_c - at.room_c)
        return brine * brine_out + st.vapour * st.vapour_enthalpy + loss - at.feed_flow * feed_in

    # --- condenser --------------------------------------------------------------------------------

    def condenser_u(self, st: State, at: At) -> float:
        """Condenser coefficient, W/m2K."""
        mean_c = min(0.5 * (at.sea_c + st.sea_out_c), HOTTEST_C)
        flow = (at.condenser_flow / self.sheet["rated_condenser_flow_kg_s"]) ** 0.8
        sea = self.hc0 * flow * film_factor(mean_c) / film_factor(self.tc0)
        film = self.hk0 * (st.vapour / self.gross0) ** (-1.0 / 3.0)
        return 1.0 / (1.0 / sea + self.rwc + at.fouling + 1.0 / film)

    def condenser_rate(self, st: State, at: At) -> float:
        """Duty of the condenser's rate equation."""
        mean_c = min(0.5 * (at.sea_c + st.sea_out_c), HOTTEST_C)
        c = at.condenser_flow * w.seawater_heat_capacity(mean_c, at.salinity)
        area = self.sheet["condenser_area_m2"] * (1.0 - st.blanketed)
        ntu = self.condenser_u(st, at) * area / c
        return c * (st.condensing_c - at.sea_c) * -math.expm1(-ntu)

    # --- calibration ------------------------------------------------------------------------------

    def _calibrate(self) -> None:
        s = self.sheet
        at = self.rated = self.conditions({})
        net = s["rated_product_t_day"] * 1000.0 / DAY_S
        self.motive0_pa = at.motive_pa
        vapour_pa = w.saturation_pressure(s["rated_vapour_temp_c"])
        gross, p = net, vapour_pa
        for _ in range(200):
            st = self._rated_state(p, gross, at)
            share = st.gas / (st.gas + gross / w.M_WATER)
            if st.blanketed >= 1.0:
                raise Infeasible("sheet_refused", "no vent temperature above the sea's at rated")
            change = abs(vapour_pa / (1.0 - share) / p - 1.0) + abs(
                (net + st.vent_loss) / gross - 1
            )
            gross, p = net + st.vent_loss, vapour_pa / (1.0 - share)
            if change < 1e-15:
                break
        self.p0, self.gross0 = p, gross
        self.n0 = (at.back_pa - p) / (at.motive_pa - p)
        if self.n0 >= s["stall_ratio"]:
            raise Infeasible("sheet_refused", f"ejector stalled at rated: N0 {self.n0:.4f}")
        self.v0 = motive_vapour_factor(p, at.motive_c)
        st = self.state0 = self._rated_state(p, gross, at)
        self.pv0 = st.vapour_pa
        self._calibrate_condenser(st, at)
        self._calibrate_evaporator(st, at)
        self._calibrate_carry_over(st)

    def _rated_state(self, p: float, gross: float, at: At) -> State:
        return self._chain(p, gross, at, 1.0, self.sheet["rated_gas_capacity_m3_s"])

    def _calibrate_condenser(self, st: State, at: At) -> None:
        if st.sea_out_c >= st.condensing_c:
            raise Infeasible(
                "sheet_refused",
                f"condenser outlet {st.sea_out_c:.2f} C, condensing at {st.condensing_c:.2f} C",
            )
        self.tc0 = 0.5 * (at.sea_c + st.sea_out_c)
        c = at.condenser_flow * w.seawater_heat_capacity(self.tc0, at.salinity)
        ntu = -math.log1p(-st.condenser_heat / (c * (st.condensing_c - at.sea_c)))
        area = self.sheet["condenser_area_m2"] * (1.0 - st.blanketed)
        self.uc0 = ntu * c / area
        sea, wall, film = self.sheet["condenser_split"]
        self.hc0, self.rwc, self.hk0 = self.uc0 / sea, wall / self.uc0, self.uc0 / film

    def _calibrate_evaporator(self, st: State, at: At) -> None:
        self.qe0 = self.heat_demand(st, at)
        out_c, cp = self.jacket_out(self.qe0, at)
        if out_c <= st.brine_c:
            raise Infeasible(
                "sheet_refused", f"jacket outlet {out_c:.2f} C at or below brine {st.brine_c:.2f} C"
            )
        self.tj0 = 0.5 * (at.jacket_in_c + out_c)
        c = at.jacket_flow * cp
        ntu = -math.log1p(-self.qe0 / (c * (at.jacket_in_c - st.brine_c)))
        self.ue0 = ntu * c / self.sheet["evaporator_area_m2"]
        jacket, wall, boiling = self.sheet["evaporator_split"]
        self.hj0, self.rwe, self.hb0 = self.ue0 / jacket, wall / self.ue0, self.ue0 / boiling

    def _calibrate_carry_over(self, st: State) -> None:
        self.k0 = souders_brown(st)
        self.e0 = self.sheet["rated_product_salt_mg_kg"] / (1000.0 * st.brine_salinity)

    # --- free solution ----------------------------------------------------------------------------

    def evaporated(self, p: float, at: At) -> tuple[State, bool]:
        """The inner root D_e(p) of the evaporator's energy balance; whether it is at the cap."""
        cap = at.feed_flow * (1.0 - at.salinity / SALINITY_CAP_G_KG)

        def shortfall(vapour: float) -> float:
            st = self.state(p, vapour, at)
            return self.evaporator_heat(st, at) - self.heat_demand(st, at)

        if shortfall(cap) > 0.0:
            return self.state(p, cap, at), True
        low = 1e-9 * self.gross0
        if shortfall(low) <= 0.0:
            return self.state(p, low, at), False
        root = brentq(shortfall, low, cap, xtol=1e-17, rtol=1e-14)
        return self.state(p, root, at), False

    def solve(self, at: At) -> State:
        """The free solution, or the reason there is none."""
        if at.jacket_in_c <= at.sea_c + LEAST_DRIVE_K:
            raise Infeasible("no_heat", f"jacket {at.jacket_in_c:.2f} C, sea {at.sea_c:.2f} C")

        def excess(log_p: float) -> float:
            st, _ = self.evaporated(math.exp(log_p), at)
            return self.condenser_rate(st, at) - st.condenser_heat

        low = math.log(w.saturation_pressure(at.sea_c))
        high = math.log(w.saturation_pressure(at.jacket_in_c))
        if excess(high) <= 0.0:
            n = (at.back_pa - math.exp(high)) / (at.motive_pa - math.exp(high))
            dead = jet_shape(n, self.sheet["stall_ratio"]) == 0.0
            raise Infeasible("stalled" if dead else "gas_load", "no vacuum at any shell pressure")
        root = brentq(excess, low, high, xtol=1e-14, rtol=1e-15)
        st, capped = self.evaporated(math.exp(root), at)
        if capped:
            raise Infeasible("feed_below_distillate", f"brine would pass {SALINITY_CAP_G_KG} g/kg")
        net0 = self.sheet["rated_product_t_day"] * 1000.0 / DAY_S
        if st.vapour < LEAST_VAPOUR_SHARE * net0:
            kind = "no_vacuum" if st.blanketed > 0.95 else "no_heat"
            raise Infeasible(kind, f"vapour {st.vapour:.2e} kg/s, blanketed {st.blanketed:.3f}")
        return st

    # --- results ----------------------------------------------------------------------------------

    def product(self, st: State, at: At) -> float:
        """Product into the tank, t/day."""
        return (st.vapour - st.vent_loss + at.sea_leak) * DAY_S / 1000.0

    def over_level(self, st: State, at: At) -> float:
        """How far the brine to be removed is beyond the ejector, 1 when the jet is dead."""
        capacity = self.sheet["brine_capacity_kg_s"] * st.jet
        if capacity <= 0.0:
            return 1.0
        return max(0.0, (at.feed_flow - st.vapour) / capacity - 1.0)

    def product_salt(self, st: State, at: At) -> float:
        """Salt of the product, mg/kg."""
        s = self.sheet
        k, kf, floor = souders_brown(st), s["flooding_velocity_m_s"], s["mist_floor"]
        flood = (1.0 + (k / kf) ** 8) / (1.0 + (self.k0 / kf) ** 8)
        level = math.exp(6.0 * min(self.over_level(st, at), 1.0))
        mist = floor + (1.0 - floor) * (k / self.k0) ** 3 * flood
        carry = at.demister_factor * self.e0 * level * mist
        net = st.vapour - st.vent_loss
        salt = carry * net * st.brine_salinity + at.sea_leak * at.salinity
        return 1000.0 * salt / (net + at.sea_leak)

    def result(self, st: State, at: At) -> dict:
        """The result keys of the interchange table."""
        heat = self.evaporator_heat(st, at)
        out_c, _ = self.jacket_out(heat, at)
        mean_c = 0.5 * (at.jacket_in_c + out_c)
        return {
            "product_t_day": self.product(st, at),
            "vapour_kg_s": st.vapour,
            "shell_pressure_pa": st.p,
            "vacuum_percent": 100.0 * (1.0 - st.p / at.barometer_pa),
            "vapour_temp_c": st.vapour_c,
            "brine_temp_c": st.brine_c,
            "condensing_temp_c": st.condensing_c,
            "vent_temp_c": st.vent_c,
            "jacket_out_c": out_c,
            "sea_out_c": st.sea_out_c,
            "brine_salinity_g_kg": st.brine_salinity,
            "product_salt_mg_kg": self.product_salt(st, at),
            "evaporator_heat_w": heat,
            "condenser_heat_w": st.condenser_heat,
            "blanketed_fraction": st.blanketed,
            "vent_loss_kg_s": st.vent_loss,
            "over_level": self.over_level(st, at),
            "evaporator_u_w_m2k": self.evaporator_u(heat, mean_c, st.vapour_pa, at),
            "condenser_u_w_m2k": self.condenser_u(st, at),
            "jacket_in_c": at.jacket_in_c,
        }

    def residuals(self, st: State, at: At) -> dict:
        """Relative residuals of the energy balance and of the condenser's two duties."""
        heat, demand = self.evaporator_heat(st, at), self.heat_demand(st, at)
        rate = self.condenser_rate(st, at)
        return {"energy": (heat - demand) / heat, "condenser": (rate - st.condenser_heat) / rate}

    # --- engine side ------------------------------------------------------------------------------

    @cached_property
    def _jacket_heat(self) -> PchipInterpolator:
        loads, heats = zip(*self.sheet["jacket_heat_table"], strict=True)
        return PchipInterpolator(loads, heats)

    def heat_allowed(self, load: float) -> float:
        """Jacket heat the plant may take at an engine load, W; the table is held at its ends."""
        table = self.sheet["jacket_heat_table"]
        held = min(max(load, table[0][0]), table[-1][0])
        return 1000.0 * (float(self._jacket_heat(held)) - self.sheet["jacket_heat_reserve_kw"])


def souders_brown(st: State) -> float:
    """Souders-Brown velocity, m/s."""
    brine = w.seawater_density(st.brine_c, st.brine_salinity)
    return st.velocity * math.sqrt(st.vapour_density / (brine - st.vapour_density))


def main() -> None:
    """Rate JSON lines from standard input."""
    from limits import rate

    for line in sys.stdin:
        job = json.loads(line)
        try:
            answer = rate(Plant(job.get("plant")), job.get("at", {}))
        except Infeasible as error:
            answer = {"error": {"kind": error.kind, "message": str(error)}}
        print(json.dumps(answer))


if __name__ == "__main__":
    main()
