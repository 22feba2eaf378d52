"""PHREEQC through phreeqpython, asked one problem at a time."""

import math

from phreeqpython import PhreeqPython

# What phreeqc.dat lacks. Ammonia and nitrate are defined a second time, apart
# from their redox couple (ammonia as phreeqc.dat itself offers in comments):
# else PHREEQC lets nitrate oxidise ammonium to nitrogen on the spot, which in
# a bed takes bacteria and is no part of the charge balance. Diffusion coefficients (-dw) give the ions their
# conductivity; acids and solids as in Bedwright's table.
DEFINITIONS = """
SOLUTION_MASTER_SPECIES
Acet Acet- 1.0 59.0 59.0
Lact Lact- 0.0 89.0 89.0
Amm AmmH+ 0 AmmH 17.0
Ntr Ntr- 0 62.0 62.0
SOLUTION_SPECIES
AmmH+ = AmmH+
    -gamma 2.5 0
    -dw 1.98e-9
AmmH+ = Amm + H+
    -analytic 0.6322 -0.001225 -2835.76
AmmH+ + SO4-2 = AmmHSO4-
    -log_k 1.11
Ntr- = Ntr-
    -gamma 3.0 0
    -dw 1.9e-9
Acet- = Acet-
    -dw 1.09e-9
Acet- + H+ = AcetH
    log_k 4.757
Lact- = Lact-
    -dw 1.033e-9
Lact- + H+ = LactH
    log_k 3.86
PHASES
Portlandite
    Ca(OH)2 + 2H+ = Ca+2 + 2H2O
    log_k 22.80
SELECTED_OUTPUT
    -reset false
USER_PUNCH
    -headings ph ionic_strength sc alk ca
    -start
    10 PUNCH -LA("H+"), MU, SC, ALK, TOT("Ca")
    -end
"""

# Acid sites of bedding: one surface, eight kinds of site of pKa 3 to 10, no
# electrostatics. Kind `r` always holds a proton, so its amount is the charge
# the material brought along, balanced by bases that are not in the water.
SURFACE = "SURFACE_MASTER_SPECIES\n" + "".join(
    f"Bed_{letter} Bed_{letter}H\n" for letter in "abcdefgh"
) + "Bed_r Bed_rOH\nSURFACE_SPECIES\n" + "".join(
    f"Bed_{letter}H = Bed_{letter}H\n    log_k 0\n"
    f"Bed_{letter}H = Bed_{letter}- + H+\n    log_k {-pka}\n"
    for letter, pka in zip("abcdefgh", range(3, 11))
) + "Bed_rOH = Bed_rOH\n    log_k 0\nBed_rOH + H+ = Bed_rOH2+\n    log_k 30\nEND\n"

ELEMENT = {
    "K": "K", "Na": "Na", "Ca": "Ca", "Mg": "Mg", "NH4": "Amm", "Cl": "Cl",
    "SO4": "S(6)", "NO3": "Ntr", "PO4": "P", "acetate": "Acet",
    "lactate": "Lact", "carbonate": "C(4)",
}
PHASE = {"calcite": "Calcite", "aragonite": "Aragonite", "dolomite": "Dolomite",
         "gypsum": "Gypsum", "portlandite": "Portlandite"}


class Phreeqc:
    """One PHREEQC with the definitions loaded."""

    def __init__(self):
        self.program = PhreeqPython(database="phreeqc.dat").ip
        self.program.run_string(DEFINITIONS + SURFACE)

    def version(self):
        """Name and version, for the record."""
        from importlib.metadata import version
        return f"PHREEQC in phreeqpython {version('phreeqpython')}, phreeqc.dat"

    def ask(self, problem):
        """pH, ionic strength, conductivity, alkalinity and calcium, or None."""
        try:
            self.program.run_string(script(problem))
            row = self.program.get_selected_output_array()[-1]
        except Exception:  # phreeqpython raises its own kinds of error
            return None
        ph, strength, sc, alkalinity, ca = row[:5]
        if not all(math.isfinite(x) for x in (ph, strength, sc, alkalinity, ca)):
            return None
        return {"ph": ph, "ca_mmol": 1000 * ca, "alkalinity_meq": 1000 * alkalinity,
                "ec_ms_cm": sc / 1000, "ionic_strength": strength}


def script(problem):
    """PHREEQC input of one problem."""
    lines = ["DELETE", "-all", "END", "SOLUTION 1", f"temp {problem['temperature_celsius']}",
             "units mol/kgw", f"water {problem['water_kg']}", "pH 7 charge"]
    for name, mmol in problem.get("totals", {}).items():
        if mmol > 0 and not (name == "carbonate" and "co2_atm" in problem):
            lines.append(f"{ELEMENT[name]} {mmol / 1000!r}")
    phases = [f"{PHASE[n]} 0 {mol!r}" for n, mol in problem.get("solids", {}).items()]
    if "co2_atm" in problem:
        phases.append(f"CO2(g) {math.log10(problem['co2_atm'])!r} 100000")
    lines += ["SAVE solution 1", "END", "USE solution 1"]
    if phases:
        lines += ["EQUILIBRIUM_PHASES 1", *phases]
    if problem.get("materials"):
        capacity, charge = problem["sites"]
        lines += ["SURFACE 1", "-no_edl"]
        area = "1 1"
        for letter, mol in zip("abcdefgh", capacity):
            lines.append(f"Bed_{letter}H {mol!r} {area}")
        lines.append(f"Bed_rOH {charge!r} {area}")
    lines.append("END")
    return "\n".join(lines) + "\n"
