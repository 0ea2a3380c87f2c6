"""The doses of a case as a plan makes them: every tub dosed, with conflicts, cards and 4,096 draws."""

from pytest_benchmark.fixture import BenchmarkFixture

from tests.plans import case_of
from waterplan.case.reading import read_case
from waterplan.dose.substances import known_substances, uses_of
from waterplan.plan.desk import Desk
from waterplan.plan.dosing import dosing
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
    assert len(cards) == len(case.doses)
    assert benchmark.stats.stats.median < 0.1


def test_every_substance_in_one_case(benchmark: BenchmarkFixture) -> None:
    doses = "".join(
        f'[[doses]]\nsubstance = "{name}"\nuse = "{use}"\ninto = "tub"\n'
        for name in known_substances()
        for use in uses_of(name)
    )
    case = case_of(
        'waterplan_case = 1\n[patient]\nspecies = "koi"\nweight = "1.1 kg, scales"\neaten = "no"\n[[vessels]]\nname = "tub"\n'
        f'use = "induction"\nvolume = "60 L, marked tub"\n{doses}'
    )
    cards = benchmark.pedantic(
        dosing, setup=lambda: ((Desk(case=case, draws=Draws()),), {}), rounds=10, warmup_rounds=2
    )
    assert len(cards) == len(case.doses)
