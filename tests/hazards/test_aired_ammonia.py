"""What air frees of a pond's ammonia: at the pH in balance with air, not at that of an afternoon that air would bring down."""

from tests.plan.soundness import ammonia_is_part_of_ammonia
from waterplan.case import read_case
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan
from waterplan.words.terminal import full_page

CASE = """waterplan_case = 1
[patient]
species = "koi"
weight = "1 kg, scales"
[place]
altitude = "0 ± 0 m"
[home_pond]
volume = "5000 ± 50 L"
[home_water]
taken = 2026-06-15T06:00
temperature = "19 ± 0.2 °C"
ph = "{ph} ± 0.05"
oxygen = "4 ± 0.1 mg/L"
tan = "{tan} ± 0.02 mg/L as N"
alkalinity = "90 ± 2 mg/L as CaCO3"
[intended]
operation_at = 2026-06-15T10:00
days = "0 days"
"""


def made(*, ph: float, tan: float) -> Plan:
    return plan(read_case(CASE.format(ph=ph, tan=tan)), draws=256)


def test_what_air_frees_is_told_at_the_balance_with_air() -> None:
    """At 19 °C pK1 is 6.39 and the air of 350 to 600 ppm holds 0.014 to 0.024 mmol/L: 1.8 mmol/L of bicarbonate has pH 8.3
    to 8.5. pKa 9.434: 6.9 to 10.4 %, of 1 mg/L 0.07 to 0.11. At pH 6.0 no afternoon of 1.5 more brings more than 0.015."""
    found = made(ph=6.0, tan=1.0)
    freed = found.figures["home-pond/air/un-ionised ammonia"]
    assert freed.best is not None
    assert freed.act_on is not None
    assert 0.05 < freed.best < 0.12
    assert freed.best < freed.act_on < 0.13
    assert ammonia_is_part_of_ammonia(found) == []


def test_air_that_brings_an_afternoon_down_frees_none() -> None:
    """At pH 8.8, and up to 10.3 in the afternoon, air leaves 8.5 at the most: less is un-ionised with it than without."""
    found = made(ph=8.8, tan=0.5)
    assert any(one.id == "call/air/home-pond" for one in found.actions)
    assert "home-pond/air/un-ionised ammonia" not in found.figures


def test_a_figure_of_the_afternoon_says_that_it_is_one() -> None:
    told = " ".join(full_page(made(ph=8.2, tan=0.6)).split())
    (line,) = [one for one in told.split("un-ionised ammonia")[1:] if "mg/L as N (limit" in one][:1]
    assert "counts the highest pH that an afternoon may bring" in line
