"""Published seawater fits behind seawater.csv (Sharqawy et al. 2010; Nayar et al. 2016).

S in g/kg, t in degrees C. Coefficients typed from memory of the papers; the R13, TEOS and MITSW
columns of the table are the check on the typing. Density, heat capacity, elevation and enthalpy
difference are shared with the reference plant.
"""

from __future__ import annotations

import math
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "plant"))

import properties as plant  # noqa: E402

density = plant.seawater_density
heat_capacity = plant.seawater_heat_capacity
boiling_point_elevation = plant.boiling_point_elevation
enthalpy_difference = plant.seawater_enthalpy_difference
SALT_MOLAR_MASS = 0.0314038218  # kg/mol, mean of the ions (Millero et al. 2008)


def conductivity_nayar(t: float, s: float) -> float:
    """Nayar et al. 2016, W/(m K); 10-90 degrees C."""
    r = (t + 273.15) / 300.0
    water = 0.797015 * r**-0.194 - 0.251242 * r**-4.717 + 0.096437 * r**-6.385
    return (water - 0.032696 * r**-2.134) / (0.00022 * s + 1.0)


def conductivity_jamieson(t: float, s: float) -> float:
    """Jamieson and Tudhope 1970, Sharqawy et al. 2010 eq. 13, W/(m K), IPTS-68."""
    kelvin = 1.00024 * (t + 273.15)
    ratio = 2.3 - (343.5 + 0.037 * s) / kelvin
    critical = (1.0 - kelvin / (647.0 + 0.03 * s)) ** (1.0 / 3.0)
    return 1e-3 * 10.0 ** (math.log10(240.0 + 0.0002 * s) + 0.434 * ratio * critical)


def viscosity(t: float, s: float) -> float:
    """Sharqawy et al. 2010, eq. 22-23, Pa s."""
    x = s / 1000.0
    water = 4.2844e-5 + 1.0 / (0.157 * (t + 64.993) ** 2 - 91.296)
    a = 1.541 + 1.998e-2 * t - 9.52e-5 * t * t
    b = 7.974 - 7.561e-2 * t + 4.724e-4 * t * t
    return water * (1.0 + x * (a + b * x))


def latent_heat(t: float, s: float) -> float:
    """Sharqawy et al. 2010, eq. 37, J/kg."""
    water = 2.501e6 + t * (-2.369e3 + t * (2.678e-1 + t * (-8.103e-3 - 2.079e-5 * t)))
    return water * (1.0 - s / 1000.0)


def enthalpy(t: float, s: float) -> float:
    """Sharqawy et al. 2010, eq. 43, J/kg."""
    water = 141.355 + t * (4202.070 + t * (-0.535 + 0.004 * t))
    return water + enthalpy_difference(t, s)


def vapour_pressure_ratio(s: float) -> float:
    """Nayar et al. 2016: seawater over pure water."""
    return math.exp(-4.5818e-4 * s - 2.0443e-6 * s * s)


def osmotic_coefficient(t: float, s: float) -> float:
    """Sharqawy et al. 2010, eq. 49; 10-120 g/kg."""
    x = s / 1000.0
    pure = 8.9453e-1 + t * (4.1561e-4 - 4.6262e-6 * t) + 2.2211e-11 * t**4
    first = -1.1445e-1 - 1.4783e-3 * t - 1.3526e-8 * t**3
    second = 7.0132 + t * (5.696e-2 - 2.8624e-4 * t)
    return pure + x * (first + x * second)


def osmotic_pressure(t: float, s: float) -> float:
    """From the osmotic coefficient, Pa."""
    molality = s / (1000.0 - s) / SALT_MOLAR_MASS
    return osmotic_coefficient(t, s) * 8.31446261815324 * (t + 273.15) * density(t, 0.0) * molality
