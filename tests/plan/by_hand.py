"""A case whose every figure can be followed by hand, and the printed equations written out once more.

Nothing here is taken from the package: the constants are those of the sources named beside them.
"""

import math
import re

from waterplan.findings import Finding
from waterplan.first_plan.first_case.model import Case
from waterplan.first_plan.first_case.reading import case_from_document, document_from_text
from waterplan.units import Display

# ± 0 leaves the best values alone, so that only what a table says is uncertain has a band.
EXACT = """
waterplan_case = 1
[patient]
species = "koi"
name = "Tansy"
weight = "1 ± 0 kg"
length = "40 ± 0 cm"
last_fed = 2026-05-01
[place]
station_pressure = "101.325 ± 0 kPa"
[home_pond]
shape = "rectangle"
length = "4 ± 0 m"
width = "2.5 ± 0 m"
depth = "1 ± 0 m"
walls = "sloping"
[[other_fish]]
species = "koi"
count = 4
weight = "2.5 ± 0 kg"
[home_water]
temperature = "20 ± 0 °C"
ph = "8 ± 0"
oxygen = "8 ± 0 mg/L"
tan = "0.5 ± 0 mg/L as N"
nitrite = "0.2 ± 0 mg/L as NO2"
alkalinity = "120 ± 0 mg/L as CaCO3"
salinity = "0 ± 0 g/L"
[mains_water]
disinfectant = "chlorine"
chlorine = "0.5 ± 0 mg/L"
tan = "0 ± 0 mg/L as N"
[[vessels]]
name = "tub"
use = "induction"
volume = "41 ± 0 L"
oxygen = "8.64 ± 0 mg/L"
[[vessels]]
name = "pool"
use = "revival"
shape = "round"
diameter = "1 ± 0 m"
depth = "0.3 ± 0 m"
[[vessels]]
name = "tank"
use = "hospital"
shape = "rectangle"
length = "1.6 ± 0 m"
width = "0.8 ± 0 m"
depth = "0.5 ± 0 m"
filter = "unseeded"
temperature = "18 ± 0 °C"
ph = "7 ± 0"
salinity = "0.5 ± 0 g/L"
[intended]
operation_at = 2026-05-14T10:00:00
temperature = "21 ± 0 °C"
salt = "2 ± 0 g/L"
salt_dip = "20 ± 0 g/L"
feed = "0 ± 0 %/day"
iodine_stock = "10 % PVP-I"
"""


def exact(*changes: tuple[str, str]) -> Case:
    """The case with some of its text exchanged; every change must be of something that is there."""
    text = EXACT
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return case_from_document(document_from_text(text, file="by hand"), file="by hand")


def routine_uptake_mg_per_kg_h(weight_g: float, temp_c: float) -> float:
    """Yamanaka et al. 2013: 67.4 W^-0.193 e^(0.0562 t)."""
    return 67.4 * weight_g**-0.193 * math.exp(0.0562 * temp_c)


def unionised_share(ph: float, temp_c: float) -> float:
    """Emerson et al. 1975: pKa = 0.09018 + 2729.92/T."""
    return 1.0 / (1.0 + 10.0 ** (0.09018 + 2729.92 / (temp_c + 273.15) - ph))


# TSchV 2008, Annex 2, table 7, carp-like, holding: 0.02 mg/L as NH3, here as nitrogen.
NH3_LIMIT_MG_N_PER_L = 0.02 * 14.007 / 17.031


def shown(finding: Finding) -> str:
    """The answer as a metric reader sees it."""
    return Display().render(finding.answer)


def figures(text: str) -> list[float]:
    """The numbers of a shown text."""
    return [float(found.replace(",", "")) for found in re.findall(r"\d[\d,]*\.?\d*", text)]
