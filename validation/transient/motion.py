"""The plant in motion, written again in Python and integrated by SciPy: an independent check of equations and solver.

Equations as docs/transient.md and docs/physics.md have them; properties and the steady calibration come from ../plant.
`python motion.py` runs every scenario named in RUNS with BDF at a relative tolerance of 1e-7 and writes motion.csv.
"""

from __future__ import annotations

import csv
import json
import math
import sys
from pathlib import Path

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent / "plant"))
import properties as pr  # noqa: E402
import reference  # noqa: E402

R, MW, MA, K0 = pr.GAS_CONSTANT, pr.M_WATER, pr.M_AIR, pr.KELVIN
HEAD = 1025.0 * 9.80665

NAMES = (
    "T_em T_ew T_j1 T_h1 T_h2 T_h3 T_r T_ei T_sen u i a q M_b X_b E_b T_sm N_a D p T_c1 T_c2 T_c3 M_d X_d X_w S_l S_r z"
    " R_e J_b n_e n_c n_d n_j M_ds M_x M_t X_t V_m t_dry"
).split()
IX = {name: k for k, name in enumerate(NAMES)}
LITTLE = dict(zip(NAMES, [50.0] * 9 + [1, 1, 1, 1e5, 1, 0.04, 2e6, 50, 0.01, 1e-3, 1e3, 50, 50, 50, 1, 1e-5, 1e-4, 1, 1, 1,
                                       1e-5, 0.1, 1, 1, 1, 1, 1, 1, 1e3, 1e-2, 1e3, 10]))

TRAVEL = {"jacket inlet": 20, "jacket outlet": 20, "jacket by-pass": 20, "jacket vent": 5, "overboard": 15,
          "pump suction": 15, "pump discharge": 15, "condenser cooling": 15, "feed": 10, "vacuum breaker": 5,
          "shell drain": 5, "distillate discharge": 5, "balance line": 3, "tank filling": 10, "air screw": 3}
COLD = {"jacket by-pass": 100, "condenser cooling": 100, "feed": 100, "distillate discharge": 75, "balance line": 100}
RUNNING = {**{name: 100 for name in TRAVEL}, "jacket by-pass": 0, "jacket vent": 0, "vacuum breaker": 0, "shell drain": 0,
           "air screw": 0}
FAULTS = {"condenser leak": 0, "air leak": 1, "distillate seal": 0, "heater leak": 0, "nozzle": 1, "pump wear": 1,
          "feed orifice": 1, "cell reading": 1, "demister": 1, "cooling flow": 1, "condenser fouling": 0,
          "back pressure": 0, "strainer": 0, "aeration": 0, "by-pass passing": 0, "drain passing": 0, "breaker passing": 0,
          "check passing": 0, "thermostat hunting": 1}
SETS = {"engine load": 85, "sea temperature": 32, "sea salinity": 35.165, "room temperature": 40, "barometer": 101325,
        "draught": 2, "salinity limit": 10}
KEYS = {"sea_temp_c": "sea temperature", "engine_load": "engine load", "sea_salinity_g_kg": "sea salinity"}


def s(x):
    x = min(max(x, 0.0), 1.0)
    return x * x * (3.0 - 2.0 * x)


def rho(x, d):
    return 0.0 if x <= 0 else x if x >= d else x * x * (2 * d - x) / d**2


def root(x, e):
    return x / (x * x + e * e) ** 0.25


def ep(v):
    return 0.0 if v <= 0 else (20.0**v - 1.0) / 19.0


def phi(x):
    x = min(x, 2.0)
    return 1.0 + x / 2 if x < 1e-8 else math.expm1(x) / x


def larger(a, b):
    return (a**8 + b**8) ** 0.125


def leak_g(r):
    def g(r):
        return 1.0 if r <= 0.528 else math.sqrt(max(0.0, 1.0 - ((r - 0.528) / 0.472) ** 2))

    def inward(r):
        return g(r) if r < 0.998 else g(0.998) * (1.0 - r) / 0.002

    return inward(r) if r <= 1.0 else -inward(max(2.0 - r, 0.0))


class Hand:
    """Valves, pumps, switches, troubles, and how they move."""

    def __init__(self, scenario, set_point):
        running = scenario["begin"] == "running"
        self.go = {**{n: 0.01 * v for n, v in {**dict.fromkeys(TRAVEL, 0), **(RUNNING if running else COLD)}.items()},
                   **SETS, **FAULTS}
        for key, value in scenario["at"].items():
            self.go[KEYS[key]] = value
        self.ramps = {}
        self.pumps = {"ejector": running, "cooling": running, "distillate": running, "jacket": True}
        self.switch = {"salinometer": running, "antiscalant": False, "diverting valve": "auto" if running else "dump"}
        self.clean, self.held, self.set_point = True, (0.0 if running else math.inf), set_point

    def __call__(self, name, t):
        ramp = self.ramps.get(name)
        if ramp and t < ramp[1]:
            return ramp[2] + (self.go[name] - ramp[2]) * max(0.0, (t - ramp[0]) / (ramp[1] - ramp[0]))
        return self.go[name]

    def send(self, name, to, t, over):
        now = self(name, t)
        self.go[name] = to
        self.ramps.pop(name, None)
        if over > 0 and now != to:
            self.ramps[name] = (t, t + over, now)

    def act(self, do, t):
        if "valve" in do:
            to = 0.01 * do["percent"]
            hand = abs(to - self(do["valve"], t)) * TRAVEL[do["valve"]]
            self.send(do["valve"], to, t, do.get("over", hand))
        elif "pump" in do:
            if do["pump"] == "distillate" and do["run"] != self.pumps["distillate"]:
                self.held = t + 300.0 if do["run"] else math.inf
            self.pumps[do["pump"]] = do["run"]
        elif "fault" in do:
            self.send(do["fault"], do["amount"], t, do.get("over", 0.0))
        elif do["set"] in ("salinometer", "antiscalant"):
            self.switch[do["set"]] = do["to"] == "on"
        elif do["set"] == "diverting valve":
            self.switch[do["set"]] = do["to"]
        else:
            self.send(do["set"], do["to"], t, do.get("over", 0.0))

    def changes(self, t):
        return [r[1] for r in self.ramps.values() if r[1] > t] + ([self.held] if t < self.held < math.inf else [])

    def diverter(self, t):
        word = self.switch["diverting valve"]
        auto = word == "auto" and self.clean and self.switch["salinometer"] and t >= self.held
        return float(word == "forced" or auto)


class Motion:
    def __init__(self):
        self.k = calibrated(reference.Plant())

    def rates(self, t, y, h):
        k = self.k
        v = dict(zip(NAMES, y))
        f = dict.fromkeys(NAMES, 0.0)
        p_atm, Ts, Ss = h("barometer", t), h("sea temperature", t), h("sea salinity", t)
        for pump, n, up, down in (("ejector", "n_e", 1.5, 4.0), ("cooling", "n_c", 1.5, 4.0), ("distillate", "n_d", 1.0, 1.0),
                                  ("jacket", "n_j", 1.5, 4.0)):
            f[n] = ((1.0 - v[n]) / up) if h.pumps[pump] else -v[n] / down

        # jacket loop
        inlet, outlet = ep(h("jacket inlet", t)), h("jacket outlet", t)
        gh = 0.0
        if inlet > 0 and outlet > 0:
            gh = 16.2 * math.sqrt(2) * (1 - 0.9 * v["a"]) / math.sqrt(1 / inlet**2 + 1 / outlet**2 - 1)
        gb = 30.0 * max(ep(h("jacket by-pass", t)), h("by-pass passing", t))
        m = v["n_j"] / math.sqrt(0.5 / 16.2**2 + (gh + gb) ** -2) if gh + gb > 0 else 0.0
        mj = m * gh / (gh + gb) if gh + gb > 0 else 0.0
        tj = 0.5 * (v["T_j1"] + v["T_h3"])
        c = pr.jacket_heat_capacity(tj)
        q_eng = k["jacket_w"](h("engine load", t))
        film = 24e3 * (v["T_em"] - v["T_ew"])
        cool = m * c * v["u"] * 0.55 * (v["T_r"] - 36.0)
        f["T_em"] = (q_eng - film) / 6e6
        f["T_ew"] = (film + m * c * (v["T_ei"] - v["T_ew"])) / 3e6
        f["T_j1"] = m * c * (v["T_ew"] - v["T_j1"]) / (250 * 4200.0)
        f["T_r"] = (mj * c * (v["T_h3"] - v["T_r"]) + (m - mj) * c * (v["T_j1"] - v["T_r"])) / (250 * 4200.0)
        f["T_ei"] = (m * c * (v["T_r"] - v["T_ei"]) - cool) / (300 * 4200.0)
        hunt = h("thermostat hunting", t)
        f["T_sen"] = (v["T_ew"] - v["T_sen"]) / (6.0 * hunt)
        gain, err, r = 0.02 * hunt, v["T_sen"] - h.set_point, 1 / 180.0
        asked = v["i"] + gain * err
        held = min(max(asked, 0.0), 1.0)
        f["u"] = r * math.tanh((held - v["u"]) / (3.0 * r))
        f["i"] = gain * err / 55.0 - (asked - held) / 20.0
        f["a"] = -v["a"] * h("jacket vent", t) * s(outlet / 0.2) * s(v["n_j"] / 0.3) / 40.0

        # brine
        M = max(v["M_b"], 1e-9)
        S = 1000 * max(v["X_b"], 0.0) / M
        Sp = min(S, 200.0)
        Tb = brentq(lambda x: M * pr.seawater_enthalpy(x, Sp) + 60e3 * x - v["E_b"], 1.0, 149.0, xtol=1e-11, rtol=1e-14)
        Tv = Tb - 0.5
        for _ in range(8):
            Tv = Tb - 0.5 - pr.boiling_point_elevation(Tv, Sp)
        pv = pr.saturation_pressure(Tv)
        hb, rb = pr.seawater_enthalpy(Tb, Sp), pr.seawater_density(Tb, Sp)
        w = s(M / 5.0)
        hv, rv = pr.steam(pv, Tb)
        vel = max(v["D"], 0.0) / (rv * 0.8)
        drop = 115.0 * rv * vel**2 / 2
        Tcond = pr.saturation_temperature(max(pv - drop, 1.0))
        hl = pr.liquid_enthalpy(Tcond)

        # heater
        x = mj / 16.2
        hj = k["hj0"] * larger(x**0.8 * (1 + 0.0146 * tj) / (1 + 0.0146 * k["tj0"]) if x > 0 else 0.0, 0.03)
        xb = max(v["q"] / k["Qe0"], 0.0) ** 0.7 * pr.mostinski(pv) / k["mo0"]
        hbo = k["hb0"] * ((1 - 0.027) * xb**3 + 0.027) ** (1 / 3)
        U = 1 / (1 / hj + k["rwe"] + max(v["R_e"], 0.0) + 1 / hbo)
        third = U * 12.0 * w * (1 - 0.8 * v["a"]) / 3
        each = third * phi(third / max(mj * c, 1e-9))
        Q = [each * (v[n] - Tb) for n in ("T_h1", "T_h2", "T_h3")]
        before = v["T_j1"]
        for n, q in zip(("T_h1", "T_h2", "T_h3"), Q):
            f[n] = (mj * c * (before - v[n]) - q) / 0.5e6
            before = v[n]
        Qe = sum(Q)
        f["q"] = (Qe - v["q"]) / 2.0
        Tw = (v["T_h1"] + v["T_h2"] + v["T_h3"]) / 3 - Qe / 12.0 * (1 / hj + k["rwe"])

        # ejector
        p = v["p"]
        sob = s(h("overboard", t) / 0.15)
        cn = h("nozzle", t) * sob

        def lost(o, loss):
            return loss * (1 / max(o, 1e-4) ** 2 - 1)

        ka = k["ka"] + lost(h("pump suction", t), 0.15) + lost(h("pump discharge", t), 0.02) + h("strainer", t)
        dr = HEAD * h("draught", t)
        head = p_atm + dr + 5e5 * v["n_e"] ** 2 * h("pump wear", t) * (1 - h("aeration", t))
        drive = rho(head - p, 1.0) * s(v["n_e"] / 0.05) / (1 + ka * sob**2)
        pm = p + drive
        pb = p_atm + k["hob"] + dr + 2e4 * cn**2 * drive / k["drive0"] / max(h("overboard", t), 1e-3) ** 2 + h("back pressure", t)
        N = (pb - p) / (pm - p) if pm > p else 9.0
        B = 1.0 if N <= 0.315 else max(0.0, (0.35 - N) / 0.035)
        J = cn * math.sqrt(drive / k["drive0"]) * B / k["B0"] if drive > 0 else 0.0
        vol = max(0.0, 1 - (pr.saturation_pressure(Ts) / p) ** 2)
        rr = p / 25e3
        V = 0.020 * J * vol / k["v0"] * (1.0 if rr <= 1 else rr / (rr * rr - rr + 1))
        dead = 1 - s(J / 0.05)
        back = h("check passing", t) * 0.01 * root(rho(pb - p - 1e4, 100.0), 100.0) * dead * sob

        # flows of the shell
        gas1 = 2.2 - v["M_b"] / rb
        room = s(gas1 / 0.2)
        dp = p_atm + 2e5 * v["n_c"] ** 2 - p
        opening = s((dp - 1.35e5) / 0.35e5)
        ori = k["cf"] * h("feed", t) * h("feed orifice", t)
        idle = h("check passing", t) * ori * root(rho(p_atm - p - 1e4, 100.0), 100.0) * (1 - s(v["n_c"] / 0.3)) * (1 - opening)
        mf = (ori * math.sqrt(max(dp, 0.0)) * opening + idle) * room
        back *= room
        level = v["M_b"] / 60.0
        mb = 1.05 * J * level
        msp = 3.0 * rho(level - 2.2, 0.02)
        vdr = max(h("shell drain", t), h("drain passing", t))
        mdr = 2.0 * vdr * s(v["M_b"] / 3) * s((p / p_atm - 0.9) / 0.08)
        g = leak_g(p / p_atm)
        br = 0.07 * (max(h("vacuum breaker", t), h("breaker passing", t)) + 0.02 * h("air screw", t)) / MA
        lk = h("air leak", t) * p_atm / 101325.0 / 3600 / MA
        dra = 0.01 * vdr * (1 - s(v["M_b"] / 3)) / MA
        seal = h("distillate seal", t) / 3600 / MA
        nin = (g * (lk + br + dra) if g >= 0 else 0.0) + seal
        nout = 0.0 if g >= 0 else -g * (lk + br)
        c_gas = pr.dissolved_air(Ts, Ss) + 0.6 * 2.3e-3 / 2 * Ss / 35.165
        nin += mf * c_gas * s((0.95 - p / p_atm) / 0.3)

        # gas space
        mc = 0.0
        if h("condenser cooling", t) > 0:
            mc = 17.5 * h("cooling flow", t) * v["n_c"] / math.sqrt(0.7 + 0.3 / h("condenser cooling", t) ** 2)
        Tk = Ts + (1 - s(mc / 3.5)) * (v["T_c1"] - Ts)
        V1 = max(gas1 - v["M_d"] / 1000.0, 0.02)
        dl = max(v["D"] - 2 * V * rv, 0.0)
        e = math.exp(-dl * dl / (dl + 1e-3) / (rv * 0.02))
        y_in = nin / (nin + max(v["D"], 0.0) / MW) if nin > 0 else 0.0
        over = 1 / (1 - (1 - e) * min(y_in, 0.999))
        span = max(Tcond - Tk, 0.05)

        def filled(pa):
            ps = (pv + e * pa) * over
            tc = pr.saturation_temperature(max(ps - drop - pa, 1.0))
            z = (Tcond - tc) / span
            free = 1.0 if z <= 0 else 1 - z * z if z <= 0.95 else 0.0975 * math.exp(-1.9 / 0.0975 * (z - 0.95))
            tv = max(min(tc, Tcond), Tk)
            held_mol = ((V1 + free * 1.2) * (ps - pv) / (Tb + K0) + ((1 - free) * 1.2 + 0.1) * pa / (tv + K0)) / R
            return held_mol, ps, tv, free

        Na = max(v["N_a"], 0.0)
        top = Na * R * (max(Tcond, Tk) + K0) / 0.1 + 1.0
        pa = 0.0 if filled(0.0)[0] >= Na else brentq(lambda x: filled(x)[0] - Na, 0.0, top, xtol=1e-9, rtol=1e-14)
        _, ps, tv, free = filled(pa)
        rt = R * (tv + K0)
        mv = MW * V * pr.saturation_pressure(tv) / rt
        over_atm = max(p - p_atm, 0.0)
        outw = 2e-3 * root(rho(p - pb, 100.0), 100.0) * dead * sob
        blown = nout + (2e-3 * math.sqrt(over_atm) * s((over_atm - 0.5e5) / 0.06e5) + outw) / 0.025
        share = min(max((ps - pv) / ps, 0.0), 1.0)
        f["N_a"] = nin - pa * V / rt - blown * share
        f["p"] = (ps - p) / 0.5
        gone = mv + blown * (1 - share) * MW

        # condenser
        cc = pr.seawater_heat_capacity(0.5 * (Ts + v["T_c3"]), Ss)
        flood = s((v["M_d"] - 60) / 400)
        tcm, xc = 0.5 * (Ts + v["T_c3"]), mc / 17.5
        hc = k["hc0"] * larger(xc**0.8 * (1 + 0.0146 * tcm) / (1 + 0.0146 * k["tc0"]) if xc > 0 else 0.0, 0.03)
        hk = k["hk0"] * max(v["D"] / k["Dg0"], 0.001) ** (-1 / 3)
        Uc = 1 / (1 / hc + k["rwc"] + h("condenser fouling", t) + 1 / hk)
        third = Uc * 34.0 * free * (1 - flood) / 3
        each = third * phi(third / max(mc * cc, 1e-9))
        Qc = [each * rho(Tcond - v[n], 0.1) for n in ("T_c1", "T_c2", "T_c3")]
        tot = sum(Qc)
        f["D"] = w * (tot / (hv - hl) + gone) - v["D"]
        cond = rho(v["D"] - gone, 1e-6)
        before = Ts
        for n, q in zip(("T_c1", "T_c2", "T_c3"), Qc):
            f[n] = (mc * cc * (before - v[n]) + cond * (hv - hl) * (q + 1e-3) / (tot + 3e-3)) / (0.62e6 / 3)
            before = v[n]

        # balances
        hf = pr.seawater_enthalpy(v["T_c3"], Ss)
        metal = 2e3 * (Tb - v["T_sm"])
        out, strength = mb + msp + mdr, S / 1000
        K = vel * math.sqrt(rv / (rb - rv))
        dx = -(Qe + mf * (hf - hb) - v["D"] * (hv - hb) - metal) / (hv - hb)
        swell = dx * dx / (dx + 1e-3) / 0.012 if dx > 0 else 0.0
        o = rho(level + swell - 1, 1e-3)
        E = h("demister", t) * k["E0"] * math.exp(6 * min(o, 1.0)) * (
            0.2 + 0.8 * (K / k["K0"]) ** 3 * (1 + (K / 0.107) ** 8) / (1 + (k["K0"] / 0.107) ** 8))
        E /= (1 + (E / 0.2) ** 4) ** 0.25
        carried = E * cond * strength
        eta = 0.85 * s(v["M_ds"] / 0.05) if h.switch["antiscalant"] else 0.0
        CF, hot = S / Ss, s((Tw - 50) / 15)
        psi = max(CF / max(2.5 - 0.04 * (Tw - 60), 1.5) - 1, 0.0)
        grow = s(v["X_b"] / 0.05) * math.exp((min(Tw, 150.0) - 60) / 10) * (
            4e-11 * CF**2 * (1 - eta) * (1 + 100 * (1 - s(mf / (0.3 * k["mf0"])))) + 3e-9 * psi**2 / (psi + 0.01))
        grow = hot * (grow + (1 - w) * max(v["X_b"], 0.0) / (60 * 12.0 * 500))
        f["R_e"] = grow
        f["M_ds"] = -2e-5 * eta / 0.85
        f["M_b"] = mf + back - out - v["D"]
        f["X_b"] = (mf + back) * Ss / 1000 - out * strength - carried - 12.0 * 500 * grow
        f["E_b"] = Qe + mf * hf + back * pr.seawater_enthalpy(Ts, Ss) - out * hb - v["D"] * hv - metal
        f["T_sm"] = (metal - (v["T_sm"] - h("room temperature", t)) / (1 / 50 - 1 / 2e3)) / 0.7e6

        # distillate
        well = v["X_d"] / max(v["M_d"], 1e-9)
        leak = h("condenser leak", t) / 3600 * s(v["n_c"] / 0.1 + 0.3)
        vt = h("tank filling", t)
        path = v["z"] * vt + 1 - v["z"]
        md = 0.6 * v["n_d"] * h("distillate discharge", t) * min(max(v["M_d"] / 25, 0.0), 1.0) * path
        md *= s(h("balance line", t) / 0.3) * max(1 - h("distillate seal", t) / 40, 0.0)
        wash = v["X_w"] / 300 * cond / k["D0"]
        f["X_w"] = 0.3 * carried - wash
        f["M_d"] = cond + leak + msp - md
        f["X_d"] = 0.7 * carried + wash + leak * Ss / 1000 + msp * strength - md * well
        f["S_l"] = md / 8 * (1e6 * well - v["S_l"])
        f["S_r"] = ((h("cell reading", t) * v["S_l"] if h.switch["salinometer"] else 0.0) - v["S_r"]) / 8
        f["z"] = (h.diverter(t) - v["z"]) / 2
        tank = md * v["z"] * vt / path if path > 0 else 0.0
        f["M_t"], f["X_t"], f["V_m"] = tank, tank * well, md
        f["t_dry"] = s((v["n_d"] - 0.5) / 0.2) * (1 - s((v["M_d"] - 1) / 2))
        shown = {"shell_pressure_pa": ps, "brine_temp_c": Tb, "evaporator_heat_w": Qe, "feed_kg_s": mf,
                 "brine_salinity_g_kg": S, "product_salt_mg_kg": 1e6 * well, "nozzle_pressure_pa": pm}
        return np.array([f[n] for n in NAMES]), shown

    def begin(self, scenario, h):
        y = dict.fromkeys(NAMES, 0.0)
        Ts, Ss, T0 = h("sea temperature", 0), h("sea salinity", 0), h.set_point
        heat, cap = self.k["jacket_w"](h("engine load", 0)), 18.2 * 4200.0
        y.update(T_em=T0 + heat / 24e3, T_ew=T0, T_j1=T0, T_r=T0, T_sen=T0, T_ei=T0 - heat / cap, M_x=300.0, n_j=1.0,
                 M_t=5e4, X_t=0.15, M_ds=20.0)
        y["u"] = y["i"] = min(1.0, heat / (cap * 0.55 * (T0 - 36.0)))
        if scenario["begin"] == "cold":
            y.update(T_h1=40.0, T_h2=40.0, T_h3=40.0, a=0.6, M_b=3.0, X_b=3e-3 * Ss, T_sm=Ts, T_c1=Ts, T_c2=Ts, T_c3=Ts,
                     p=101325.0, M_d=3.0, X_d=0.006, X_w=0.015)
            y["E_b"] = 3.0 * pr.seawater_enthalpy(Ts, Ss) + 60e3 * Ts
            Tv = Ts - 0.5
            for _ in range(8):
                Tv = Ts - 0.5 - pr.boiling_point_elevation(Tv, Ss)
            space = 3.5 - 3.0 / pr.seawater_density(Ts, Ss) - 0.003
            y["N_a"] = (101325.0 - pr.saturation_pressure(Tv)) * space / (R * (Ts + K0))
        else:
            y.update(T_h1=81.0, T_h2=78.0, T_h3=75.0, q=690e3, M_b=40.0, X_b=1.96, T_sm=46.0, N_a=0.15, D=0.279, p=10100.0,
                     T_c1=Ts + 3, T_c2=Ts + 6, T_c3=Ts + 9, M_d=18.0, X_d=18 * 3e-6, n_e=1.0, n_c=1.0, n_d=1.0, z=1.0)
            y["E_b"] = 40.0 * pr.seawater_enthalpy(47.0, 49.0) + 60e3 * 47.0
        return np.array([y[n] for n in NAMES])

    def run(self, scenario, times, rtol):
        h = Hand(scenario, 85.0)
        y, t = self.begin(scenario, h), 0.0
        todo = sorted(enumerate(scenario["actions"]), key=lambda a: (a[1]["t"], a[0]))
        todo = [a for _, a in todo]
        rows = []
        atol = [rtol * LITTLE[n] for n in NAMES]
        while t < scenario["until"]:
            while todo and todo[0]["t"] <= t:
                h.act(todo.pop(0)["do"], t)
            end = min([scenario["until"], *h.changes(t), *(a["t"] for a in todo[:1]), *(x for x in times if x > t)])
            mark = h("salinity limit", t) * (1.0 if h.clean else 0.9)

            def cross(_, y, mark=mark):
                return y[IX["S_r"]] - mark

            cross.terminal, cross.direction = True, (1.0 if h.clean else -1.0)
            sol = solve_ivp(lambda t, y: self.rates(t, y, h)[0], (t, end), y, method="BDF", rtol=rtol, atol=atol, events=cross,
                            first_step=min(0.01, 0.5 * (end - t)))
            if sol.status < 0:
                raise RuntimeError(sol.message)
            y, t = sol.y[:, -1], sol.t[-1]
            if sol.status == 1:
                h.clean = not h.clean
            if t in times:
                _, shown = self.rates(t, y, h)
                rows.append((t, y.copy(), shown))
        return rows


def calibrated(ref):
    """Rated figures of the demonstration plant, from the steady reference beside this folder."""
    mf0 = ref.rated.feed_flow
    curve = ref._jacket_heat
    rated_suction = 101325.0 + 2 * HEAD
    return {
        "hj0": ref.hj0, "tj0": ref.tj0, "rwe": ref.rwe, "hb0": ref.hb0, "Qe0": ref.qe0, "mo0": pr.mostinski(ref.pv0),
        "hc0": ref.hc0, "tc0": ref.tc0, "rwc": ref.rwc, "hk0": ref.hk0, "Dg0": ref.gross0, "K0": ref.k0, "E0": ref.e0,
        "v0": ref.v0, "B0": reference.jet_shape(ref.n0, 0.35), "drive0": ref.motive0_pa - ref.p0, "mf0": mf0,
        "cf": mf0 / math.sqrt(101325.0 + 2e5 - ref.p0), "D0": 24.0 / 86.4,
        "ka": (rated_suction + 5e5 - ref.p0) / (ref.motive0_pa - ref.p0) - 1.0,
        "hob": 0.4e5 - 2e4 - 2 * HEAD,
        "jacket_w": lambda load: 1000.0 * float(curve(load)),
    }


RUNS = {
    "reference_cold_start": None,
    "cold_sea_start_faster_hand": None,
    "running_stop_and_shut": None,
    "feed_lost_hot": {"begin": "running", "at": {}, "until": 1500, "actions": [
        {"t": 600, "do": {"valve": "feed", "percent": 0}}, {"t": 900, "do": {"valve": "feed", "percent": 100}}]},
    "ejector_stopped_hot": {"begin": "running", "at": {"sea_temp_c": 28}, "until": 2400, "actions": [
        {"t": 600, "do": {"pump": "ejector", "run": False}}, {"t": 900, "do": {"valve": "jacket by-pass", "percent": 100}},
        {"t": 960, "do": {"valve": "jacket inlet", "percent": 0}}]},
    "air_leak_grows": {"begin": "running", "at": {"engine_load": 70}, "until": 5400, "actions": [
        {"t": 1200, "do": {"fault": "air leak", "amount": 8, "over": 600}},
        {"t": 3600, "do": {"valve": "condenser cooling", "percent": 60}}]},
}
STATES = ("T_ew T_j1 T_h3 T_c3 D p M_b X_b N_a M_d X_d S_r u R_e M_t".split())


def main():
    motion = Motion()
    with (HERE / "motion.csv").open("w", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(["scenario", "time_s", *STATES])
        for name, scenario in RUNS.items():
            if scenario is None:
                scenario = json.loads((HERE / f"{name}.json").read_text())
            else:
                (HERE / f"{name}.json").write_text(json.dumps({"name": name, **scenario}, separators=(",", ":")) + "\n")
            times = [float(x) for x in range(300, int(scenario["until"]) + 1, 300)]
            for t, y, _ in motion.run(scenario, times, 1e-7):
                out.writerow([name, f"{t:g}", *(f"{y[IX[n]]:.10g}" for n in STATES)])
            print(name, flush=True)


if __name__ == "__main__":
    main()
