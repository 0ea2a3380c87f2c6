"""What holds for every plan."""

import math
from collections.abc import Callable
from datetime import date, datetime

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.plan.by_hand import EXACT, exact
from tests.plans import DEMO_PONDS
from waterplan.errors import CaseError
from waterplan.findings import Finding, Verdict
from waterplan.first_plan.desk import Desk
from waterplan.first_plan.first_case.fields import Field, Kind
from waterplan.first_plan.first_case.reading import case_from_document, document_from_text, read_case
from waterplan.first_plan.first_case.schema import SECTIONS
from waterplan.first_plan.first_case.values import how_known
from waterplan.first_plan.home import home
from waterplan.first_plan.hospital import hospital
from waterplan.first_plan.prepare import prepare
from waterplan.first_plan.procedure import procedure
from waterplan.first_plan.revival import revival
from waterplan.first_plan.whole import plan
from waterplan.spread import Draws
from waterplan.units import FAMILIES, Display, System, to_core

# A litre that is searched for is good to half a per cent.
SEARCHED = 0.995
QUICK = settings(max_examples=8, suppress_health_check=[HealthCheck.too_slow])


def of(*changes: tuple[str, str], moments: tuple[Callable[[Desk], None], ...] = (procedure, revival)) -> Desk:
    """The findings of some moments of the case by hand: a property that asks nothing of the rest need not wait for it."""
    desk = Desk(case=exact(*changes), draws=Draws(count=16))
    for make in moments:
        make(desk)
    return desk


def value(made: Desk, key: str) -> float:
    """The best figure of a finding; infinite where it says that nothing would do."""
    found = next(finding for finding in made.findings if finding.key == key)
    assert found.value is not None or found.verdict is Verdict.ACT
    return math.inf if found.value is None else found.value


# -- which way things go ------------------------------------------------------------------------------------------


@QUICK
@given(litres=st.floats(5.0, 500.0), more=st.floats(1.0, 400.0))
def test_more_water_never_shortens_the_time(litres: float, more: float) -> None:
    small, large = (of(('"41 ± 0 L"', f'"{size:.3f} ± 0 L"')) for size in (litres, litres + more))
    for key in ("alarm: tub", "emergency: tub", "check-by: tub"):
        assert value(large, key) >= value(small, key)


@QUICK
@given(cold=st.floats(2.0, 28.0), warmer=st.floats(0.2, 8.0))
def test_warmer_water_never_lengthens_it(cold: float, warmer: float) -> None:
    first, second = (
        of(('temperature = "20 ± 0 °C"', f'temperature = "{temp:.3f} ± 0 °C"'), moments=(prepare, procedure, revival))
        for temp in (cold, cold + warmer)
    )
    for key in ("alarm: tub", "alarm: pool", "emergency: pool", "check-by: pool", "saturation"):
        assert value(second, key) <= value(first, key) + 1e-9


@QUICK
@given(low=st.floats(0.0, 2500.0), higher=st.floats(10.0, 1500.0))
def test_higher_ground_holds_less_oxygen(low: float, higher: float) -> None:
    valley, hill = (
        of(
            ('station_pressure = "101.325 ± 0 kPa"', f'altitude = "{metres:.1f} ± 0 m"'),
            moments=(prepare, revival, hospital),
        )
        for metres in (low, low + higher)
    )
    for key in ("pressure", "saturation", "alarm: pool"):
        assert value(hill, key) < value(valley, key)
    assert value(hill, "tank by oxygen") > value(valley, "tank by oxygen")


@QUICK
@given(ph=st.floats(6.5, 9.0), more=st.floats(0.05, 1.0))
def test_a_higher_ph_never_needs_less_water(ph: float, more: float) -> None:
    lower, higher = (of(('ph = "7 ± 0"', f'ph = "{level:.3f} ± 0"'), moments=(hospital,)) for level in (ph, ph + more))
    assert value(higher, "daily change") >= SEARCHED * value(lower, "daily change")
    assert value(higher, "tank by ammonia") >= SEARCHED * value(lower, "tank by ammonia")


@QUICK
@given(weight=st.floats(0.05, 8.0), times=st.floats(1.05, 2.0))
def test_a_heavier_fish_never_needs_less(weight: float, times: float) -> None:
    light, heavy = (
        of(('"1 ± 0 kg"', f'"{kg:.4f} ± 0 kg"'), moments=(procedure, hospital, home)) for kg in (weight, weight * times)
    )
    for key in ("tank by stocking", "tank by oxygen", "tank by ammonia", "daily change", "tank", "density after"):
        assert value(heavy, key) >= SEARCHED * value(light, key), key
    assert value(heavy, "alarm: tub") <= value(light, "alarm: tub")


@QUICK
@given(present=st.floats(0.0, 3.0), target=st.floats(0.0, 6.0))
def test_salt_is_never_negative_and_never_reaches_past_what_was_asked(present: float, target: float) -> None:
    made = of(
        ('salinity = "0.5 ± 0 g/L"', f'salinity = "{present:.3f} ± 0 g/L"'),
        ('salt = "2 ± 0 g/L"', f'salt = "{target:.3f} ± 0 g/L"'),
        moments=(hospital,),
    )
    grams = value(made, "salt")
    assert grams >= 0.0
    assert round(present, 3) + grams / 640 <= max(target, present) + 1e-3


# -- draws --------------------------------------------------------------------------------------------------------


def comparable(finding: Finding) -> tuple[object, ...]:
    return (finding.value, finding.low, finding.high, finding.chance, finding.verdict, finding.answer)


@pytest.mark.parametrize("name", ["another bath", "home pond", "intended", "patient", "weather", "place"])
def test_adding_a_vessel_moves_no_other_draw_whatever_it_is_called(name: str) -> None:
    demo = DEMO_PONDS / "heron_goldfish.toml"
    more = (
        f'\n[[vessels]]\nname = "{name}"\nuse = "dip"\nvolume = "12 L, marked tub"\ntemperature = "12 °C, thermometer"\n'
        'salinity = "0.1 g/L"\n'
    )
    before = plan(read_case(demo), draws=128)
    document = document_from_text(demo.read_text(encoding="utf-8") + more, file="more")
    # A section of the file follows the vessels, so that the new one has to be put among them.
    document["vessels"] = [vessel for vessel in document["vessels"] if vessel.get("name")]
    after = plan(case_from_document(document, file="more"), draws=128)
    moved = [
        finding.key
        for finding in before.findings
        if finding.key != "salt dip" and comparable(finding) != comparable(after.finding(finding.key))
    ]
    assert not moved
    assert after.finding(f"volume: {name}").value == pytest.approx(12.0)


def test_two_readings_of_one_meter_share_its_error() -> None:
    readings = [
        ('temperature = "20 ± 0 °C"', 'temperature = "{}"'),
        ('temperature = "18 ± 0 °C"', 'temperature = "{}"'),
    ]

    def step_of(first: str, second: str) -> Finding:
        changes = [(old, new.format(text)) for (old, new), text in zip(readings, (first, second), strict=True)]
        return plan(exact(*changes), draws=512).finding("step: pool to tank")

    same = step_of("20 °C, digital thermometer", "18 °C, digital thermometer")
    other = step_of("20 °C, digital thermometer", "18 °C, logger")
    assert same.low == pytest.approx(2.0)
    assert same.high == pytest.approx(2.0)
    assert other.high - other.low > 0.3


# -- any case that can be read can be planned ---------------------------------------------------------------------


def written(draw: st.DrawFn, field: Field) -> str:
    quantity = field.quantity
    assert quantity is not None
    unit, low, high = next(iter(FAMILIES[quantity.family][1])), *quantity.limits
    number = draw(st.one_of(st.just(low), st.just(high), st.floats(low, high)))
    if unit:
        scale = to_core(1.0, unit, quantity.family)
        number = number / scale if unit not in {"°C"} else number
    error = draw(st.sampled_from(["", "", " ± 0", " ± 1", " ± 1000"]))
    how = "" if error else draw(st.sampled_from(["", *(f", {name}" for name in how_known(quantity))]))
    return f"{number!r}{error} {unit}{how}".strip()


@st.composite
def tables_of(draw: st.DrawFn, name: str) -> dict[str, object]:
    """A table of the file with any of its keys."""
    found: dict[str, object] = {}
    for field in SECTIONS[name].fields:
        if not field.required and not draw(st.booleans()):
            continue
        if field.kind is Kind.READING:
            found[field.key] = written(draw, field)
        elif field.kind is Kind.CHOICE:
            found[field.key] = draw(st.sampled_from(field.choices))
        elif field.kind is Kind.NUMBER:
            found[field.key] = draw(st.sampled_from(["0", "0.02", "1"]))
        elif field.kind is Kind.ROWS:
            found[field.key] = draw(st.sampled_from([field.example, "0 0\n4 0\n4 3\n0 3", "1 2 0.5\n2 1 0.6"]))
        elif field.kind is Kind.COUNT:
            found[field.key] = draw(st.sampled_from([0, 1, 100_000]))
        elif field.kind is Kind.WHEN:
            found[field.key] = draw(st.datetimes(datetime(1950, 1, 1), datetime(2200, 12, 31)))
        else:
            found[field.key] = draw(st.sampled_from(["x", "home pond", "⟦1|kg⟧", "{0}"]))
    return found


@st.composite
def documents(draw: st.DrawFn) -> dict[str, object]:
    document: dict[str, object] = {"waterplan_case": 1}
    for name, section in SECTIONS.items():
        if section.many:
            found = draw(st.lists(tables_of(name), min_size=int(section.required), max_size=2))
            for number, table in enumerate(found):
                if name == "vessels":
                    table |= {"name": f"{table['name']}{number}", "volume": "60 L, marked tub"}
            document[name] = found
        elif section.required or draw(st.booleans()):
            document[name] = draw(tables_of(name))
    document["patient"] = {"weight": "1 kg"} | dict(document["patient"])  # type: ignore[call-overload]
    return document


@settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(documents(), st.one_of(st.none(), st.just(datetime.combine(date(2026, 5, 20), datetime.min.time()))))
def test_any_case_that_can_be_read_can_be_planned(document: dict[str, object], as_of: datetime | None) -> None:
    try:
        case = case_from_document(document, file="any")
    except CaseError:
        return
    made = plan(case, as_of=as_of, draws=16)
    for finding in made.findings:
        for number in (finding.value, finding.low, finding.high, finding.limit, finding.chance):
            assert number is None or not math.isnan(number), finding.key
        for system in System:
            text = Display(system=system).render(finding.answer)
            assert "nan" not in text.lower().split()
            assert " inf" not in text


def test_the_case_by_hand_is_a_case() -> None:
    assert case_from_document(document_from_text(EXACT, file="x"), file="x").patient.name == "Tansy"
