"""Saturation and seawater properties by general-purpose Python libraries, timed per value.

Prints one JSON line per library and way of calling: CoolProp's IF97 (low-level interface), gsw
called with one number and with an array, and iapws. "solves" counts the values computed.
"""

import json
import time

import CoolProp
import gsw
import numpy as np
from CoolProp import AbstractState
from iapws import SeaWater
from iapws.iapws97 import _PSat_T, _TSat_P

WATER = AbstractState("IF97", "Water")


def coolprop_pressure(t):
    """Saturation pressure, Pa."""
    WATER.update(CoolProp.QT_INPUTS, 0.0, t + 273.15)
    return WATER.p()


def coolprop_temperature(p):
    """Saturation temperature, K."""
    WATER.update(CoolProp.PQ_INPUTS, p, 0.0)
    return WATER.T()


def coolprop_steam(t):
    """Steam enthalpy at 5 kPa, J/kg."""
    WATER.update(CoolProp.PT_INPUTS, 5000.0, t + 273.15)
    return WATER.hmass()


def iapws_seawater(t):
    """Seawater density by IAPWS R13-08, kg/m3 (the library computes the whole state)."""
    return SeaWater(T=t + 273.15, P=0.101325, S=0.035).rho


def report(name, values, seconds):
    """One JSON line."""
    print(json.dumps({"name": name, "solves": values, "seconds": seconds}))


def per_call(name, call, inputs):
    """Time a function called once for each input."""
    begun = time.perf_counter()
    for x in inputs:
        call(x)
    report(name, len(inputs), time.perf_counter() - begun)


def per_array(name, call, inputs, rounds):
    """Time a function called with the whole array."""
    begun = time.perf_counter()
    for _ in range(rounds):
        call(inputs)
    report(name, rounds * len(inputs), time.perf_counter() - begun)


def main():
    """Time every library."""
    temperatures = np.linspace(5.0, 90.0, 100_000)
    warm = temperatures[temperatures < 80.0]
    above_5_kpa = [float(t) for t in temperatures[temperatures > 35.0]]
    listed = [float(t) for t in temperatures]
    pressures = [float(p) for p in np.linspace(1e3, 7e4, 100_000)]
    per_call("coolprop saturation pressure", coolprop_pressure, listed)
    per_call("coolprop saturation temperature", coolprop_temperature, pressures)
    per_call("coolprop steam enthalpy", coolprop_steam, above_5_kpa)
    per_call("iapws saturation pressure", lambda t: _PSat_T(t + 273.15), listed)
    per_call("iapws saturation temperature", lambda p: _TSat_P(p * 1e-6), pressures)
    per_call("gsw density", lambda t: gsw.rho(35.165, t, 0.0), listed[::5])
    per_call("gsw heat capacity", lambda t: gsw.cp_t_exact(35.165, t, 0.0), listed[::5])
    per_array("gsw density, array", lambda t: gsw.rho(35.165, t, 0.0), warm, 20)
    per_array("gsw heat capacity, array", lambda t: gsw.cp_t_exact(35.165, t, 0.0), warm, 5)
    per_array("gsw practical salinity, array", lambda c: gsw.SP_from_C(c, 25.0, 0.0), warm, 5)
    per_call("iapws seawater", iapws_seawater, [float(t) for t in warm[::2000]])


if __name__ == "__main__":
    main()
