"""Scale saturation of concentrated seawater with PHREEQC's Pitzer database (phreeqpython).

Reference-composition seawater (Millero et al. 2008, mol per kg of water at 35.16504 g/kg), all ions
raised together. Fluoride is not in the database: its charge is carried by chloride. Alkalinity and
dissolved inorganic carbon are given and PHREEQC computes the pH from them at the temperature.
"""

from __future__ import annotations

from collections.abc import Iterator

from phreeqpython import PhreeqPython

SEA_G_KG = 35.165
TEMPERATURES = (20, 30, 40, 45, 50, 55, 60, 65, 70, 80, 90, 100)
FACTORS = (1, 1.25, 1.5, 2, 2.5, 3, 3.5, 4)
# mmol per kg of water.
IONS = {
    "Na": 486.0597,
    "Mg": 54.7421,
    "Ca": 10.6568,
    "K": 10.5797,
    "Sr": 0.0940,
    "Cl": 565.7647 + 0.0708,
    "S(6)": 29.2643,
    "Br": 0.8728,
    "B": 0.1045 + 0.3258,
}
ALKALINITY = 2.3884
INORGANIC_CARBON = 2.0380
CO2_RELEASE = 0.6
PHASES = ("Calcite", "Aragonite", "Brucite", "Gypsum", "Anhydrite", "Bassanite")
# Hemihydrate, alpha form, log K at 25 C and its temperature function as in PHREEQC's llnl.dat.
BASSANITE = """
PHASES
Bassanite
    CaSO4:0.5H2O = Ca+2 + SO4-2 + 0.5 H2O
    log_k -3.6615
    -analytical_expression -2.2010e+002 -8.0230e-002 5.5092e+003 8.9651e+001 8.6031e+001
END
"""


def molality_factor(cf: float) -> float:
    """Growth of molality when salinity grows by the factor."""
    salinity = SEA_G_KG / 1000.0
    return cf * (1.0 - salinity) / (1.0 - cf * salinity)


def brine(carbon: str, cf: float, t: float) -> dict:
    """PHREEQC's solution block."""
    drawn_off = CO2_RELEASE * ALKALINITY / 2.0 if carbon == "degassed" else 0.0
    grown = molality_factor(cf)
    block = {"units": "mmol/kgw", "temp": t, "pH": 8.0}
    block |= {ion: m * grown for ion, m in IONS.items()}
    block["Alkalinity"] = ALKALINITY * grown
    block["C"] = (INORGANIC_CARBON - drawn_off) * grown
    return block


def scale() -> Iterator[dict]:
    """Saturation indices of six scales."""
    engine = PhreeqPython(database="pitzer.dat")
    engine.ip.run_string(BASSANITE)
    for carbon in ("closed", "degassed"):
        for t in TEMPERATURES:
            for cf in FACTORS:
                solution = engine.add_solution(brine(carbon, cf, t))
                row = {
                    "carbon": carbon,
                    "T_C": t,
                    "CF": cf,
                    "S_b_gkg": SEA_G_KG * cf,
                    "pH": solution.pH,
                    "ionic_strength": solution.I,
                }
                for phase in PHASES:
                    name = "hemihydrate" if phase == "Bassanite" else phase.lower()
                    row[f"SI_{name}"] = solution.si(phase)
                yield row
                solution.forget()
