"""A pond's ammonia and pH are judged by their worst hour, the afternoon, and never by a dawn pH beside other hours in silence."""

from datetime import UTC, datetime

import pytest

from waterplan.case import read_case
from waterplan.case.log import read_log
from waterplan.case.model import Case, Logged
from waterplan.hazards.record import Hazard, Judgement, Verdict
from waterplan.plan.record import Plan
from waterplan.plan.whole import plan

DAWN = datetime(2026, 6, 4, 7, 30, tzinfo=UTC)
WITH_PH = 'ph = "{ph} ± 0"\nph_taken = 2026-06-{at}\n'


def case(tan: float, more: str = "") -> Case:
    """A pond at 18 °C, all of it exact; its ammonia read in the afternoon of the 3rd."""
    return read_case(
        f"""
waterplan_case = 1
[patient]
species = "goldfish"
weight = "0.5 ± 0 kg"
[home_pond]
volume = "6000 ± 0 L"
[home_water]
taken = 2026-06-03T15:30
temperature = "18 ± 0 °C"
oxygen = "8.5 ± 0 mg/L"
tan = "{tan} ± 0 mg/L as N"
alkalinity = "120 ± 0 mg/L as CaCO3"
salinity = "0 ± 0 g/L"
chlorine = "0 ± 0.001 mg/L"
{more}"""
    )


def log(of: Case, tmp_path: object, *rows: str) -> tuple[Logged, ...]:
    """Rows of a log: a time and a pH."""
    text = "taken,water,what,reading\n" + "".join(
        f'2026-06-{row.split()[0]},home water,ph,"{row.split()[1]} ± 0"\n' for row in rows
    )
    path = tmp_path / "log.csv"  # type: ignore[operator]
    path.write_text(text)
    return tuple(read_log(path, case=of).rows)


def made(tmp_path: object, *rows: str, tan: float = 0.6, more: str = "") -> Plan:
    of = case(tan, more)
    return plan(of, readings=log(of, tmp_path, *rows), as_of=DAWN, draws=64, actions=False)


def judged(of: Plan, hazard: Hazard = Hazard.AMMONIA) -> Judgement:
    return next(one for one in of.judgements if one.id == f"home-pond/{hazard}")


def best(of: Plan, hazard: Hazard = Hazard.AMMONIA) -> float:
    return of.figures[judged(of, hazard).figure or ""].best or 0.0


def test_a_dawn_ph_beside_ammonia_of_the_day_before_clears_nothing(tmp_path: object) -> None:
    """At pH 7.5 and 18 °C: pKa 0.09018 + 2729.92 / 291.15 = 9.4665, share 1 / (1 + 10^1.9665) = 0.0107, 0.0064 mg/L as N,

    under the limit of 0.0164; a unit and a half higher, in the afternoon, it is 0.6 x 0.255 = 0.153. Nobody has read it.
    """
    plan = made(tmp_path, "04T06:00 7.5")
    for hazard in (Hazard.AMMONIA, Hazard.PH):
        assert judged(plan, hazard).verdict is Verdict.NOT_KNOWN
        assert "afternoon ph" in {one.quantity for one in judged(plan, hazard).measure}
    (why,) = (one for one in judged(plan).why if one.code == "worst-hour-not-measured")
    assert why.words["ph_at"].startswith("2026-06-04T06:00")
    assert why.words["ammonia_at"].startswith("2026-06-03T15:30")


def test_the_ph_of_an_afternoon_on_record_decides(tmp_path: object) -> None:
    """pH 9.0 at 16:00 the day before: share 1 / (1 + 10^0.4665) = 0.2546, 0.6 x 0.2546 = 0.1527 mg/L as N: act now."""
    plan = made(tmp_path, "03T16:00 9.0", "04T06:00 7.5")
    assert best(plan) == pytest.approx(0.1527, rel=0.01)
    assert judged(plan).verdict is Verdict.ACT_NOW
    assert best(plan, Hazard.PH) == pytest.approx(9.0)
    (why,) = (one for one in judged(plan).why if one.code == "ph-of-the-afternoon-before")
    assert why.words["at"].startswith("2026-06-03T16:00")


def test_a_milder_afternoon_makes_nothing_better(tmp_path: object) -> None:
    """pH 7.2 in the afternoon and 7.5 at dawn: it is judged at 7.5, 0.6 x 0.0107 = 0.0064."""
    plan = made(tmp_path, "03T16:00 7.2", "04T06:00 7.5")
    assert best(plan) == pytest.approx(0.0064, rel=0.01)
    assert judged(plan).verdict is Verdict.WITHIN_LIMIT


def test_an_afternoon_of_last_week_decides_no_more(tmp_path: object) -> None:
    assert judged(made(tmp_path, "01T04:00 7.4", "04T06:00 7.5")).verdict is Verdict.NOT_KNOWN
    plan = made(tmp_path, "04T06:00 7.5", more=WITH_PH.format(ph=7.6, at="01T06:00"))
    assert judged(plan).verdict is Verdict.NOT_KNOWN


def test_of_little_ammonia_no_afternoon_makes_too_much(tmp_path: object) -> None:
    """0.02 mg/L at pH 7.5 + 1.5 = 9.0: 0.02 x 0.255 = 0.0051, under the limit whatever the pH of the afternoon is."""
    plan = made(tmp_path, "04T06:00 7.5", tan=0.02)
    assert judged(plan).verdict is Verdict.WITHIN_LIMIT
    assert judged(plan).whatever


def test_a_ph_of_the_afternoon_is_taken_as_it_is(tmp_path: object) -> None:
    """The rest was read at another hour: `ph_taken` tells that the pH is of 16:00. 0.6 x 0.0107 = 0.0064."""
    plan = made(tmp_path, more=WITH_PH.format(ph=7.5, at="03T16:00"))
    assert best(plan) == pytest.approx(0.0064, rel=0.01)
    assert judged(plan).verdict is Verdict.WITHIN_LIMIT
    assert [one.code for one in judged(plan).why] == ["ph-of-the-afternoon"]


@pytest.mark.parametrize("dawn", [7.0, 7.5, 8.0, 8.8])
def test_a_higher_afternoon_is_never_milder(tmp_path: object, dawn: float) -> None:
    levels = [best(made(tmp_path, f"03T16:00 {ph}", f"04T06:00 {dawn}")) for ph in (7.0, 8.0, 9.0)]
    assert levels == sorted(levels)
