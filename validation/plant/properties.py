"""Water, seawater and dissolved-gas properties for the reference plant (CoolProp IF97 and fits).

Units: degrees C, Pa, J/kg, kg/m3, g/kg. Steam and water are IAPWS-IF97 through CoolProp's IF97
backend. Seawater is Sharqawy, Lienhard, Zubair 2010 (Desalination and Water Treatment 16,
354-380), coefficients typed from memory of the paper; ../properties/seawater.csv is the check.
Dissolved air is Weiss 1970 (Deep-Sea Research 17, 721-735), in ml(STP)/kg.
"""

from __future__ import annotations

import math

import CoolProp
from CoolProp import AbstractState

KELVIN = 273.15
GAS_CONSTANT = 8.31446261815324  # J/(mol K), CODATA 2018
M_WATER = 18.015257e-3  # kg/mol
M_AIR = 28.9647e-3  # kg/mol
SALINITY_PER_PRACTICAL = 35.16504 / 35.0
TRIPLE_T_C = 0.01
TRIPLE_P_PA = 611.657
WATER_P_CRIT_PA = 22.064e6
JACKET_PRESSURE_PA = 3.0e5

_IF97 = AbstractState("IF97", "Water")
_SAT = AbstractState("IF97", "Water")


def saturation_pressure(t_c: float) -> float:
    """IF97 region 4, p(T)."""
    _SAT.update(CoolProp.QT_INPUTS, 0.0, t_c + KELVIN)
    return _SAT.p()


def saturation_temperature(p_pa: float) -> float:
    """IF97 region 4, T(p), held at the triple point below 611.657 Pa."""
    if p_pa <= TRIPLE_P_PA:
        return TRIPLE_T_C
    _SAT.update(CoolProp.PQ_INPUTS, p_pa, 0.0)
    return _SAT.T() - KELVIN


def liquid_enthalpy(t_c: float) -> float:
    """Saturated liquid water, IF97."""
    _SAT.update(CoolProp.QT_INPUTS, 0.0, t_c + KELVIN)
    return _SAT.hmass()


def steam(p_pa: float, t_c: float) -> tuple[float, float]:
    """Enthalpy and density of steam, IF97 region 2.

    The library refuses pressures below the triple point; there (never at a solution, only while
    bracketing) the enthalpy is held and the density is scaled as an ideal gas.
    """
    held = max(p_pa, TRIPLE_P_PA)
    _IF97.update(CoolProp.PT_INPUTS, held, t_c + KELVIN)
    return _IF97.hmass(), _IF97.rhomass() * p_pa / held


def jacket_heat_capacity(t_c: float) -> float:
    """Heat capacity of jacket water, IF97 region 1 at 3 bar absolute."""
    _IF97.update(CoolProp.PT_INPUTS, JACKET_PRESSURE_PA, t_c + KELVIN)
    return _IF97.cpmass()


def seawater_density(t: float, s_g_kg: float) -> float:
    """Sharqawy et al. 2010, eq. 8."""
    s = s_g_kg / 1000.0
    pure = 9.999e2 + t * (2.034e-2 + t * (-6.162e-3 + t * (2.261e-5 - 4.657e-8 * t)))
    salt = 8.020e2 + t * (-2.001 + t * (1.677e-2 - 3.060e-5 * t)) - 1.613e-5 * s * t * t
    return pure + s * salt


def seawater_heat_capacity(t: float, s: float) -> float:
    """Sharqawy et al. 2010, eq. 9 (temperature on IPTS-68, in K)."""
    t68 = 1.00024 * (t + KELVIN)
    a = 5.328 - 9.76e-2 * s + 4.04e-4 * s * s
    b = -6.913e-3 + 7.351e-4 * s - 3.15e-6 * s * s
    c = 9.6e-6 - 1.927e-6 * s + 8.23e-9 * s * s
    d = 2.5e-9 + 1.666e-9 * s - 7.125e-12 * s * s
    return 1000.0 * (a + t68 * (b + t68 * (c + t68 * d)))


def seawater_enthalpy_difference(t: float, s_g_kg: float) -> float:
    """Sharqawy et al. 2010, eq. 43: h(T,S) - h(T,0), taken at min(S, 120)."""
    s = min(s_g_kg, 120.0) / 1000.0
    poly = (
        -2.348e4
        + s * (3.152e5 + s * (2.803e6 - 1.446e7 * s))
        + t * (7.826e3 + t * (-4.417e1 + 2.139e-1 * t))
        + s * t * (-1.991e4 + 2.778e4 * s + 9.728e1 * t)
    )
    return -s * poly


def seawater_enthalpy(t: float, s: float) -> float:
    """Liquid seawater: IF97 saturated liquid plus the correlation's difference."""
    return liquid_enthalpy(t) + seawater_enthalpy_difference(t, s)


def boiling_point_elevation(t: float, s_g_kg: float) -> float:
    """Sharqawy et al. 2010, eq. 36."""
    s = s_g_kg / 1000.0
    a = -4.584e-4 * t * t + 2.823e-1 * t + 17.95
    b = 1.536e-4 * t * t + 5.267e-2 * t + 6.56
    return a * s * s + b * s


# ml(STP)/kg at 1 atm of moist air, and litre(STP)/mol.
_WEISS = (
    ((-177.7888, 255.5907, 146.4813, -22.2040, -0.037362, 0.016504, -0.0020564), 22.391),  # O2
    ((-177.0212, 254.6078, 146.3611, -22.0933, -0.054052, 0.027266, -0.0038430), 22.404),  # N2
    ((-178.1725, 251.8139, 145.2337, -22.2046, -0.038729, 0.017171, -0.0021281), 22.393),  # Ar
)


def weiss_ml_kg(t_c: float, s: float) -> tuple[float, ...]:
    """Dissolved O2, N2, Ar, ml(STP)/kg; `s` is practical salinity."""
    h = (t_c + KELVIN) / 100.0
    return tuple(
        math.exp(a1 + a2 / h + a3 * math.log(h) + a4 * h + s * (b1 + b2 * h + b3 * h * h))
        for (a1, a2, a3, a4, b1, b2, b3), _ in _WEISS
    )


def dissolved_air(t_c: float, s_g_kg: float) -> float:
    """Dissolved O2 + N2 + Ar, mol/kg; Weiss takes practical salinity."""
    volumes = weiss_ml_kg(t_c, s_g_kg / SALINITY_PER_PRACTICAL)
    return sum(v / molar / 1000.0 for v, (_, molar) in zip(volumes, _WEISS, strict=True))


def mostinski(p_pa: float) -> float:
    """Pressure factor of nucleate boiling, Mostinski 1963."""
    r = p_pa / WATER_P_CRIT_PA
    return 1.8 * r**0.17 + 4.0 * r**1.2 + 10.0 * r**10
