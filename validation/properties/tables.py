"""How each property table is computed: its grid, its columns and the library behind each column."""

from __future__ import annotations

import warnings
from collections.abc import Iterator

import gsw
import numpy as np
import PyCO2SYS
from CoolProp.CoolProp import PropsSI
from iapws import IAPWS97, SeaWater
from iapws._iapws import _Conductivity, _Dielectric, _Viscosity
from iapws.iapws08 import _Tb
from iapws.iapws97 import _PSat_T, _TSat_P
from scipy.optimize import brentq

import seawater_fits as fits

warnings.filterwarnings("ignore")
from seawater import extras  # noqa: E402  (warns that it is deprecated)

KELVIN = 273.15
ATM_PA = 101325.0
Row = dict[str, object]


# --- steam and water ------------------------------------------------------------------------------

SATURATION_T = (0.01, 5, 10, 20, 30, 40, 46, 50, 60, 70, 80, 90, 100, 120)
SATURATION_P = (1e3, 2.5e3, 5e3, 8e3, 1e4, 1.5e4, 2e4, 3e4, 5e4, 101325, 1.9e5)
REGION_1 = (
    (5, 101325),
    (25, 101325),
    (46, 11000),
    (60, 3e5),
    (80, 3e5),
    (92, 3e5),
    (110, 5e5),
)
REGION_2 = (
    (26.85, 3500),
    (25, 2500),
    (36, 5000),
    (47, 10000),
    (56, 15000),
    (70, 25000),
    (101, 101325),
    (125, 190000),
)


def coolprop(name: str, *state: object) -> float:
    """CoolProp's IF97 backend."""
    return PropsSI(name, *state, "IF97::Water")


def if97_row(quantity: str, t: object, p: object, unit: str, one: float, two: float) -> Row:
    """One quantity by both implementations."""
    return {
        "quantity": quantity,
        "T_C": t,
        "p_Pa": p,
        "unit": unit,
        "CoolProp_IF97": one,
        "iapws_IF97": two,
        "rel_difference": abs(one / two - 1.0),
    }


def if97() -> Iterator[Row]:
    """IAPWS-IF97, two implementations."""
    for t in SATURATION_T:
        two = 1e6 * _PSat_T(t + KELVIN)
        yield if97_row("psat", t, "", "Pa", coolprop("P", "T", t + KELVIN, "Q", 0), two)
    for p in SATURATION_P:
        one = coolprop("T", "P", p, "Q", 0) - KELVIN
        yield if97_row("Tsat", "", p, "degC", one, _TSat_P(p / 1e6) - KELVIN)
    for region, grid, names in (("1", REGION_1, "H D C"), ("2", REGION_2, "H D")):
        for t, p in grid:
            state = IAPWS97(T=t + KELVIN, P=p / 1e6)
            second = {"H": 1e3 * state.h, "D": state.rho, "C": 1e3 * state.cp}
            for name in names.split():
                word, unit = {"H": ("h", "J/kg"), "D": ("rho", "kg/m3"), "C": ("cp", "J/kg/K")}[
                    name
                ]
                one = coolprop(name, "T", t + KELVIN, "P", p)
                yield if97_row(f"region{region}_{word}", t, p, unit, one, second[name])
    for t in (20, 45, 90):
        two = 1e3 * IAPWS97(T=t + KELVIN, x=0).h
        yield if97_row("hliq_sat", t, "", "J/kg", coolprop("H", "T", t + KELVIN, "Q", 0), two)


# --- seawater -------------------------------------------------------------------------------------

SEAWATER_T = (10, 20, 30, 40, 46, 50, 60, 70, 80, 90, 100)
SEAWATER_S = (0, 10, 20, 35.165, 50, 70, 90, 120)


def teos_osmotic_pressure(t: float, s: float) -> float:
    """Pressure that brings seawater's water back to the chemical potential of pure water, Pa."""
    pure = gsw.chem_potential_water_t_exact(0.0, t, 0.0)

    def excess(p_dbar: float) -> float:
        return gsw.chem_potential_water_t_exact(s, t, p_dbar) - pure

    return 1e4 * brentq(excess, 0.0, 4000.0, xtol=1e-10, rtol=1e-14)


def iapws_seawater(t: float, s: float) -> Row:
    """IAPWS R13-08 at the atmosphere, within the range it gives data for."""
    if t > 80:
        return {"R13_range": ""}
    pure = SeaWater(T=t + KELVIN, P=ATM_PA / 1e6, S=0.0)
    salt = SeaWater(T=t + KELVIN, P=ATM_PA / 1e6, S=s / 1000.0)
    row = {
        "R13_range": "A" if t <= 40 and s <= 42 else "C",
        "R13_rho_kgm3": salt.rho,
        "R13_cp_JkgK": 1e3 * salt.cp,
        "R13_dh_Jkg": 1e3 * (salt.h - pure.h),
    }
    if s > 0:
        boiling = _Tb(_PSat_T(t + KELVIN), s / 1000.0)
        row["R13_BPE_K"] = float(boiling) - (t + KELVIN)
        row["TEOS_pi_Pa"] = teos_osmotic_pressure(t, s)
    return row


def fitted_seawater(t: float, s: float) -> Row:
    """The published fits."""
    osmotic = {
        "SLZ10_osm_coeff": fits.osmotic_coefficient(t, s),
        "pi_Pa": fits.osmotic_pressure(t, s),
    }
    nayar = {"N16_k_WmK": fits.conductivity_nayar(t, s)} if t <= 90 else {}
    pure = coolprop("P", "T", t + KELVIN, "Q", 0)
    return (
        {
            "SLZ10_rho_kgm3": fits.density(t, s),
            "SLZ10_cp_JkgK": fits.heat_capacity(t, s),
            "SLZ10_kJT_WmK": fits.conductivity_jamieson(t, s),
            "SLZ10_mu_Pas": fits.viscosity(t, s),
            "SLZ10_hfg_Jkg": fits.latent_heat(t, s),
            "SLZ10_BPE_K": fits.boiling_point_elevation(t, s),
            "N16_pv_Pa": pure * fits.vapour_pressure_ratio(s),
            "SLZ10_h_Jkg": fits.enthalpy(t, s),
            "SLZ10_dh_Jkg": fits.enthalpy_difference(t, s),
        }
        | nayar
        | (osmotic if s >= 10 else {})
    )


def mitsw(t: float, s: float) -> Row:
    """CoolProp's incompressible seawater."""
    names = {"D": "rho_kgm3", "C": "cp_JkgK", "L": "k_WmK", "V": "mu_Pas"}
    # Two atmospheres: the library refuses one at 100 degrees C, and its fits do not know pressure.
    state = ("T", t + KELVIN, "P", 2 * ATM_PA, f"INCOMP::MITSW[{s / 1000.0}]")
    return {f"MITSW_{column}": PropsSI(name, *state) for name, column in names.items()}


def seawater() -> Iterator[Row]:
    """Seawater by fits, by IAPWS R13-08 and by two other libraries."""
    for t in SEAWATER_T:
        for s in SEAWATER_S:
            yield (
                {"T_C": t, "S_gkg": s} | fitted_seawater(t, s) | iapws_seawater(t, s) | mitsw(t, s)
            )


# --- practical salinity ---------------------------------------------------------------------------

PSS_EXTRA = (
    (42.914, 15 / 1.00024, 0),
    (50, 25, 10),
    (53, 25, 100),
    (60, 30, 1000),
    (34.5487, 28.7856, 10),
    (70, 35, 0),
)


def salinity_range(sp: float) -> str:
    """Which formula gsw used."""
    if sp < 2:
        return "Hill et al. 1986 extension"
    return "PSS-78" if sp <= 42 else "above 42: outside PSS-78"


def pss78() -> Iterator[Row]:
    """Practical salinity from conductivity, gsw."""
    grid = [(c, t, 0) for t in (0, 5, 15, 25, 35) for c in (2, 10, 25, 42.914, 55)]
    for c, t, p in (*grid, *PSS_EXTRA):
        sp = float(gsw.SP_from_C(c, t, p))
        yield {
            "C_mScm": c,
            "t_C": t,
            "p_dbar": p,
            "R": c / 42.914,
            "SP": sp,
            "range": salinity_range(sp),
            "S_ref_gkg": sp * 35.16504 / 35.0,
        }


# --- gas ------------------------------------------------------------------------------------------

GAS_GRID = (
    (0, 35),
    (5, 35),
    (10, 20),
    (15, 35),
    (20, 0),
    (20, 35),
    (25, 35),
    (30, 35),
    (32, 35),
    (36, 38),
    (40, 40),
)
MOLAR_LITRES = {"O2": 22.391, "N2": 22.404, "Ar": 22.393}


def co2_solubility(t: float, s: float) -> float:
    """Weiss 1974, mol/(kg atm)."""
    h = (t + KELVIN) / 100.0
    salt = 0.023517 - 0.023656 * h + 0.0047036 * h * h
    return float(np.exp(-60.2409 + 93.4517 / h + 23.3585 * np.log(h) + s * salt))


def gas() -> Iterator[Row]:
    """Dissolved air and carbon dioxide."""
    library = {"O2": extras.satO2, "N2": extras.satN2, "Ar": extras.satAr}
    for t, s in GAS_GRID:
        row: Row = {"T_C": t, "SP": s}
        volumes = dict(zip(MOLAR_LITRES, fits.plant.weiss_ml_kg(t, s), strict=True))
        moles = {name: 1e3 * v / MOLAR_LITRES[name] for name, v in volumes.items()}
        density = fits.density(t, s * 35.16504 / 35.0) / 1000.0
        for name, v in volumes.items():
            per_litre = float(library[name](s, t))
            row[f"weiss_{name}_mlkg"] = v
            row[f"{name}_umolkg"] = moles[name]
            row[f"sw_{name}_mlL"] = per_litre
            row[f"sw_{name}_mlkg"] = per_litre / density
        row["air_umolkg"] = sum(moles.values())
        row["gsw_O2_umolkg"] = float(gsw.O2sol_SP_pt(s, t))
        row["K0_molkgatm"] = co2_solubility(t, s)
        row["pyco2_K0"] = PyCO2SYS.sys(temperature=t, salinity=s)["k_CO2"]
        yield row


# --- distillate -----------------------------------------------------------------------------------

NACL_PPM = (0, 0.5, 1, 2, 3, 5, 8, 10, 15, 20, 30, 50, 75, 100)
NACL_G_MOL = 58.4428
ION_T = (25.0, 35.0, 45.0, 55.0)
ION_LAMBDA = tuple(
    na + cl
    for na, cl in zip((50.10, 61.54, 73.73, 86.88), (76.35, 92.21, 108.92, 126.40), strict=True)
)


def limiting_conductivity(t: float) -> float:
    """Sum of the ions' limiting molar conductivities, S cm2/mol, cubic through the handbook's."""
    return float(np.polyval(np.polyfit(ION_T, ION_LAMBDA, 3), t))


def nacl(t: float, ppm: float) -> Row:
    """Conductivity of a dilute NaCl solution at its temperature."""
    kelvin = t + KELVIN
    water = IAPWS97(T=kelvin, P=ATM_PA / 1e6)
    permittivity = _Dielectric(water.rho, kelvin)
    poise = 10.0 * _Viscosity(water.rho, kelvin)
    c = ppm * water.rho / NACL_G_MOL * 1e-6
    lambda0 = limiting_conductivity(t)
    a = 82.501 / (poise * (permittivity * kelvin) ** 0.5)
    b = 8.2053e5 / (permittivity * kelvin) ** 1.5
    molar = lambda0 - (a + b * lambda0) * c**0.5
    pure = 1e4 * _Conductivity(water.rho, kelvin)  # S/m to uS/cm
    return {
        "T_C": t,
        "NaCl_ppm": ppm,
        "c_molL": c,
        "Lambda0": lambda0,
        "A": a,
        "B": b,
        "Lambda": molar,
        "kappa_water_uScm": pure,
        "kappa_uScm": pure + 1000.0 * molar * c,
    }


def distillate_conductivity() -> Iterator[Row]:
    """Distillate conductivity at 25 and 40 degrees C."""
    for t in (25, 40):
        for ppm in NACL_PPM:
            row, at25 = nacl(t, ppm), nacl(25, ppm)["kappa_uScm"]
            row["kappa25_uScm"] = at25
            if t != 25:
                row["alpha_pct_per_K"] = 100.0 * (row["kappa_uScm"] / at25 - 1.0) / (t - 25)
            yield row
