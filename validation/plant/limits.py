"""Running to limits: the trimmed solution and the engine's heat limit, around the free solution.

The end state is defined, not the way to it. Cold trim at a given jacket flow: the largest
condenser flow (or the smallest air bleed) that keeps the vapour at its minimum temperature, stopped
by the sea outlet's maximum and by a floor. Jacket by-pass: the largest jacket flow at which, with
the cold trim made, product is at or below the maximum and the heat taken at or below what the
engine can give.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from scipy.optimize import brentq

from reference import HOUR_S, LEAST_DRIVE_K, Plant, State
from sheet import At, Infeasible

MAX_BLEED_KG_S = 100.0 / HOUR_S
LIMIT_MISS = 1e-6
FLOOR_SHARE = 0.05
FLOOR_FEEDS = 1.25
LEAST_JACKET_SHARE = 1e-3
TOLERANCE = {"xtol": 1e-13, "rtol": 1e-13}


@dataclass
class Settled:
    """A solved state with the conditions it stands at and what was moved."""

    state: State
    at: At
    trims: list[dict] = field(default_factory=list)
    heat_limited: bool = False


def last_good(good: Callable[[float], bool], start: float, end: float) -> float:
    """Bisect from a good start to a bad end; the last good value."""
    for _ in range(60):
        middle = 0.5 * (start + end)
        if good(middle):
            start = middle
        else:
            end = middle
    return start


def reached(excess: float) -> None:
    """Refuse a limit that lies below the least output the plant can hold."""
    if abs(excess) > LIMIT_MISS:
        raise Infeasible("no_heat", "the limit lies below the least output the plant can hold")


def cold_trim(plant: Plant, at: At) -> Settled:
    """Throttle or bleed until the vapour is no colder than its minimum."""
    state = plant.solve(at)
    sheet = plant.sheet
    free = Settled(state, at)
    kind = sheet["cold_trim"]
    cold = state.vapour_c < sheet["vapour_temp_min_c"]
    if kind == "none" or not cold or state.sea_out_c >= sheet["sea_out_max_c"]:
        return free
    if kind == "throttle":
        start = at.condenser_flow
        end, stop = (
            max(FLOOR_FEEDS * at.feed_flow, FLOOR_SHARE * plant.rated.condenser_flow),
            "flow_floor",
        )
        if start <= end:
            return free
        name, scale = "condenser_flow", 1.0
    else:
        start, end, stop = at.bleed_kg_s, MAX_BLEED_KG_S, "bleed_max"
        name, scale = "bleed_kg_s", HOUR_S

    def solved(x: float) -> State | None:
        try:
            return plant.solve(at.but(**{name: x}))
        except Infeasible:
            return None

    def margin(st: State) -> float:
        return max(st.vapour_c - sheet["vapour_temp_min_c"], st.sea_out_c - sheet["sea_out_max_c"])

    last = solved(end)
    if last is None:
        end = last_good(lambda x: (s := solved(x)) is not None and margin(s) < 0.0, start, end)
        x, why = end, "vapour_temp_min"
        last = solved(end)
    elif margin(last) <= 0.0:
        x, why = end, stop
    else:
        x = brentq(lambda v: margin(plant.solve(at.but(**{name: v}))), start, end, **TOLERANCE)
        last = solved(x)
        warm = last.vapour_c - sheet["vapour_temp_min_c"]
        why = (
            "vapour_temp_min" if warm >= last.sea_out_c - sheet["sea_out_max_c"] else "sea_out_max"
        )
    lever = "condenser_flow_kg_s" if kind == "throttle" else "air_bleed_kg_h"
    move = {"lever": lever, "from": start * scale, "to": x * scale, "why": why}
    return Settled(last, at.but(**{name: x}), [move])


def by_pass(
    plant: Plant, at: At, heat: float | None, product: float | None, settle: Callable[[At], Settled]
) -> Settled:
    """Reduce jacket flow until product and heat are within their limits."""

    def excesses(done: Settled) -> list[tuple[float, str]]:
        found = [(-1.0, "none")]
        if product is not None:
            found.append((plant.product(done.state, done.at) / product - 1.0, "product_max"))
        if heat is not None:
            taken = plant.evaporator_heat(done.state, done.at)
            found.append((taken / heat - 1.0, "engine_heat"))
        return found

    def excess(flow: float) -> float:
        try:
            return max(excesses(settle(at.but(jacket_flow=flow))))[0]
        except Infeasible:
            return -1.0

    full = settle(at)
    if max(excesses(full))[0] <= 0.0:
        return full
    flow = brentq(excess, LEAST_JACKET_SHARE * at.jacket_flow, at.jacket_flow, **TOLERANCE)
    reached(excess(flow))
    done = settle(at.but(jacket_flow=flow))
    why = max(excesses(done))[1]
    move = {"lever": "jacket_flow_kg_s", "from": at.jacket_flow, "to": flow, "why": why}
    return Settled(done.state, done.at, [move, *done.trims], why == "engine_heat")


def sag(plant: Plant, done: Settled, heat: float) -> Settled:
    """How far jacket water would be pulled down with every valve left where it is."""
    at = done.at
    if plant.evaporator_heat(done.state, at) <= heat:
        return done

    def excess(jacket_in_c: float) -> float:
        colder = at.but(jacket_in_c=jacket_in_c)
        try:
            return plant.evaporator_heat(plant.solve(colder), colder) / heat - 1.0
        except Infeasible:
            return -1.0

    least = at.sea_c + LEAST_DRIVE_K
    jacket_in_c = brentq(excess, least, at.jacket_in_c, **TOLERANCE)
    reached(excess(jacket_in_c))
    move = {"lever": "jacket_in_c", "from": at.jacket_in_c, "to": jacket_in_c, "why": "engine_heat"}
    at = at.but(jacket_in_c=jacket_in_c)
    return Settled(plant.solve(at), at, [*done.trims, move], True)


def settle(plant: Plant, keys: dict) -> Settled:
    """Solve a point with the limits it asks for."""
    at = plant.conditions(keys)
    load, trimmed = keys.get("engine_load"), keys.get("trimmed", False)
    sagging = keys.get("heat_short", "bypass") == "sag"
    heat = None if load is None else plant.heat_allowed(load)
    plant.solve(at)
    if heat is not None and heat <= 0.0:
        raise Infeasible("no_heat", f"engine leaves {heat:.0f} W at {load} % load")

    def step(x: At) -> Settled:
        return cold_trim(plant, x) if trimmed else Settled(plant.solve(x), x)

    product = plant.sheet["product_max_t_day"] if trimmed else None
    done = by_pass(plant, at, None if sagging else heat, product, step)
    return sag(plant, done, heat) if sagging and heat is not None else done


def rate(plant: Plant, keys: dict) -> dict:
    """One result of the interchange, with the flows it was reached at."""
    done = settle(plant, keys)
    return plant.result(done.state, done.at) | {
        "jacket_flow_kg_s": done.at.jacket_flow,
        "condenser_flow_kg_s": done.at.condenser_flow,
        "air_bleed_kg_h": done.at.bleed_kg_s * HOUR_S,
        "heat_limited": done.heat_limited,
        "trims": done.trims,
    }
