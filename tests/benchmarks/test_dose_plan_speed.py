"""The doses of a case as a plan makes them: every tub dosed, with conflicts, cards and 4,096 draws."""

from pytest_benchmark.fixture import BenchmarkFixture

from tests.plans import case_of
from waterplan.dose.substances import kind_of, known_substances, substance, uses_of
from waterplan.first_plan.desk import Desk
from waterplan.first_plan.dosing import dosing
from waterplan.first_plan.first_case.reading import read_case
from waterplan.spread import Draws
from waterplan.tables import shipped


def test_the_doses_of_a_case_take_under_a_tenth_of_a_second(benchmark: BenchmarkFixture) -> None:
    case = read_case(shipped("demo_ponds") / "heron_goldfish.toml")
    assert len(case.doses) > 3

    def laid_out() -> tuple[tuple[Desk], dict[str, object]]:
        """A desk whose waters have been measured: a survey of soundings has its own time, and a plan makes it once."""
        desk = Desk(case=case, draws=Draws())
        desk.measured_water(None)
        for vessel in case.vessels:
            desk.measured_water(vessel)
        return (desk,), {}

    cards = benchmark.pedantic(dosing, setup=laid_out, rounds=20, warmup_rounds=2)
    assert len(cards.doses) == len(case.doses)
    assert benchmark.stats.stats.median < 0.1


WATERS = ("40 ± 1 L", "20 ± 1 L", "150 ± 5 L", "600 ± 20 L", "12000 ± 500 L")
WATER = """
[home_water]
temperature = "18 °C, thermometer"
ph = "7.6, pH meter"
oxygen = "8.6 mg/L, oxygen meter"
tan = "0.2 mg/L as N, photometer"
alkalinity = "100 mg/L as CaCO3, drop kit"
salinity = "0.2 g/L, conductivity meter"
"""


def test_every_use_of_every_substance_in_five_waters(benchmark: BenchmarkFixture) -> None:
    """The full sheet as a plan makes it, with its findings, conflicts and cards: each use at a level it is told of."""
    doses = "".join(_dose(name, use, into) for into in WATERS for name in known_substances() for use in uses_of(name))
    case = case_of(
        'waterplan_case = 1\n[patient]\nspecies = "koi"\nweight = "1.1 kg, scales"\neaten = "no"\nwound = "none"\n'
        f'[[vessels]]\nname = "tub"\nuse = "induction"\nvolume = "60 L, marked tub"\n{WATER}{doses}'
    )
    cards = benchmark.pedantic(
        dosing, setup=lambda: ((Desk(case=case, draws=Draws()),), {}), rounds=10, warmup_rounds=2
    )
    assert len(cards.doses) == len(case.doses) > 200
    worked = sum(bool(card.portions) for card in cards.doses)
    assert worked > 100
    # 280 doses and some 700 findings, among them the chemistry of twenty baths: sixty doses keep under a tenth of a second.
    assert benchmark.stats.stats.median / len(cards.doses) < 0.1 / 40


def _dose(name: str, use: str, into: str) -> str:
    unit = substance(name).unit
    level = {"uL/L": "20 uL/L", "g/L": "1 g/L", "% v/v": "70 % v/v"}.get(unit, "2 mg/L")
    level = {"induction": "100 mg/L", "sedation": "20 mg/L", "maintenance": "60 mg/L"}.get(use, level)
    bottle = {"povidone-iodine": "10 % PVP-I", "ethanol": "96 % v/v", "eugenol": "100 mg/mL"}.get(
        name, "10 mg/mL" if substance(name)["form"] == "liquid" else "powder"
    )
    lines = [f'substance = "{name}"', f'use = "{use}"', f'into = "{into}"', 'syringe = "0.01 mL"', 'scale = "0.001 g"']
    if kind_of(name, use=use).with_fish:
        lines += [f'strength = "{level}"', f'again = "{level}"']
    if unit != "uL/L" and name != "salt":
        lines.append(f'bottle = "{bottle}"')
    return "\n".join(["[[doses]]", *lines, ""])
