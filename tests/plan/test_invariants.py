"""The seven things that must hold of every plan: that a broken record is caught, and that generated cases break none."""

import re
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from itertools import islice
from typing import Any

import pytest

from tests.demos import longer_but_for
from tests.kept import kept
from tests.memory import MOST_MORE_KB, watched
from tests.plan import invariants, soundness
from tests.plan.generated_cases import Generated, case_of, cases
from tests.plan.hand_made import ANSWERS, APPLIES, Document, action, figure, judgement, made
from tests.plan.spoilt_cases import odd
from waterplan.actions.record import Kind
from waterplan.hazards.record import Hazard, Verdict
from waterplan.plan.record import Plan

CHECKS: dict[int, Callable[[Plan], list[str]]] = {
    1: lambda plan: invariants.check_1(plan, applies=APPLIES),
    2: invariants.check_2,
    3: lambda plan: invariants.check_3(plan, kinds=ANSWERS),
    4: invariants.check_4,
    5: invariants.check_5,
    6: invariants.check_6,
    7: invariants.check_7,
}


@pytest.mark.parametrize("number", CHECKS)
def test_the_plan_by_hand_is_sound(number: int) -> None:
    assert CHECKS[number](made()) == []


def _one(document: Document, part: str, path: str) -> Document:
    return next(one for one in document[part] if one["id"] == path)


def _drop(document: Document, part: str, path: str) -> None:
    document[part] = [one for one in document[part] if one["id"] != path]


def _set(part: str, path: str, **values: Any) -> Callable[[Document], None]:
    return lambda document: _one(document, part, path).update(values)


def _both(*changes: Callable[[Document], object]) -> Callable[[Document], None]:
    def change(document: Document) -> None:
        for one in changes:
            one(document)

    return change


def _add(part: str, *records: Document) -> Callable[[Document], object]:
    return lambda document: document[part].extend(records)


AIR, NEUTRALISE, DOSE = (
    "procedure/air/induction-1",
    "prepare/neutralise/induction-1",
    "procedure/dose/induction-1/tricaine",
)
WHY = [{"code": "no-pump"}]
SECOND_SALT = [
    action(f"hospital/{kind}/induction-1/salt", substance="salt", leads_to=["induction-1/oxygen/aired"])
    for kind in ("salt", "dose")
]


def _occupant_more(document: Document) -> None:
    document["fish"].append({"id": "patient-2", "name": "", "species": "koi", "patient": True, "count": 1})
    document["waters"][1]["occupants"].append({"fish": "patient-2", "state": "at rest"})


def _assumed_tap(document: Document) -> None:
    document["waters"][0]["states"][0]["quantities"]["chlorine"] = {"figure": "mains/chlorine", "origin": "assumed"}
    _one(document, "judgements", "induction-1/chlorine")["verdict"] = "within limit"


def _six(document: Document) -> None:
    for number in range(3):
        document["actions"].append(action(f"call/air/induction-1/{number}", kind="air"))
        document["first_page"]["do_now"].append(f"call/air/induction-1/{number}")


def _page(**values: Any) -> Callable[[Document], None]:
    return lambda document: document["first_page"].update(values)


def _figure(name: str, **values: Any) -> Callable[[Document], None]:
    return lambda document: document["figures"][name].update(values)


def _refused_and_real(document: Document) -> None:
    _one(document, "actions", DOSE)["refused_because"] = WHY
    document["waters"][1]["states"][0]["after"] = [DOSE]


def _second_level(document: Document) -> None:
    contents = document["waters"][1]["states"][0]["contents"]
    contents.append({"substance": "tricaine", "level": "induction-1/volume", "from": "already"})


REFERRED = _both(
    _set("judgements", "induction-1/oxygen", answered_by=["call/ask/induction-1"]),
    _add("actions", action("call/ask/induction-1", instead=[{"kind": "air", "because": WHY}])),
)
ASSUMED = [{"water": "induction-1", "quantity": "oxygen", "origin": "assumed", "decides": True}]
BREAKS = (
    (1, "nothing is said of oxygen", lambda document: document.update(judgements=document["judgements"][2:])),
    (
        1,
        "mains is poured into induction-1, and nothing",
        lambda document: _drop(document, "judgements", "mains/chlorine"),
    ),
    (1, "not judged for ['patient-2']", _occupant_more),
    (2, "rests on assumed induction-1/oxygen", _set("judgements", "induction-1/oxygen/aired", inputs=ASSUMED)),
    (2, "mains/chlorine (through induction-1)", _assumed_tap),
    (2, "not known, whatever", _set("judgements", "mains/chlorine", verdict="not known", whatever=True)),
    (2, "a chance of 0.4", _set("judgements", "mains/chlorine", verdict="within limit", whatever=True, chance=0.4)),
    (3, "nothing answers it", _set("judgements", "induction-1/chlorine", answered_by=[])),
    (3, "refused: procedure/air", _set("actions", AIR, refused_because=WHY)),
    (3, "no reason against change", REFERRED),
    (3, "only a measurement", _set("actions", AIR, kind="measure")),
    (4, "leads to act now", _set("judgements", "induction-1/substance/tricaine", verdict="act now")),
    (4, "is ordered, and after it", _set("judgements", "induction-1/substance/tricaine", verdict="refused")),
    (
        4,
        "no cost is told",
        _both(
            _set("judgements", "induction-1/oxygen", verdict="within limit"),
            _set("judgements", "induction-1/oxygen/aired", verdict="watch"),
        ),
    ),
    (4, "is real after procedure/dose", _refused_and_real),
    (5, "which it needs", _page(do_now=[DOSE, AIR, NEUTRALISE])),
    (5, "which is more pressing", _page(do_now=[NEUTRALISE, AIR, DOSE])),
    (5, "holds 6 actions", _six),
    (5, "within the hour", _page(do_now=[NEUTRALISE], and_more=2)),
    (5, "it counts 0", _page(do_now=[AIR])),
    (5, "orders refused", _set("actions", DOSE, refused_because=WHY)),
    (5, "done at", _set("actions", DOSE, done="2026-05-14T08:00:00+00:00")),
    (6, "names no figure: nowhere", _set("judgements", "mains/chlorine", figure="nowhere")),
    (6, "stands 2 times", lambda document: document["judgements"].append(document["judgements"][0])),
    (6, "is above its low end", _figure("induction-1/oxygen/until-alarm", act_on=25)),
    (6, "is below its high end", _figure("induction-1/air/flow", act_on=5)),
    (6, "more digits", _figure("induction-1/volume", act_on=24.0153)),
    (6, "no share says how often", _figure("induction-1/oxygen/until-alarm", never=None)),
    (6, "hold a number", _set("judgements", "mains/chlorine", why=[{"code": "x", "words": {"limit": "0.02 mg/L"}}])),
    (6, "names no row", _figure("induction-1/volume", rows=["defaults/nothing"])),
    (7, "are 1.2 and not 1.1", _set("actions", NEUTRALISE, part_amounts={"grams": [0.6, 0.6]})),
    (7, "2 parts, and 3 amounts", _set("actions", NEUTRALISE, part_amounts={"grams": [0.5, 0.3, 0.3]})),
    (7, "judged for none of their sum", _add("actions", *SECOND_SALT)),
    (7, "has 2 levels", _second_level),
)


@pytest.mark.parametrize(("number", "complaint", "change"), BREAKS, ids=[f"{row[0]}: {row[1]}" for row in BREAKS])
def test_a_broken_record_is_caught(number: int, complaint: str, change: Callable[[Document], object]) -> None:
    found = CHECKS[number](made(change))
    assert any(complaint in one for one in found), found


def test_a_referral_with_every_reason_answers() -> None:
    def change(document: Document) -> None:
        REFERRED(document)
        document["actions"][-1]["instead"].append({"kind": "change", "because": WHY})

    assert CHECKS[3](made(change)) == []


def test_what_was_so_before_an_action_is_not_its_doing() -> None:
    change = _set("judgements", "induction-1/oxygen/aired", verdict="act now", answered_by=[AIR])
    assert CHECKS[4](made(change)) == []


@pytest.mark.parametrize(("moment", "blamed"), [("home", False), ("procedure", True)])
def test_a_dose_is_blamed_for_no_step_on_the_way_home(moment: str, blamed: bool) -> None:
    step = judgement("induction-1/ph change", "ph change", "act now") | {"moment": moment}
    change = _both(_add("judgements", step), _set("actions", DOSE, leads_to=[step["id"]], answers=[step["id"]]))
    assert bool(CHECKS[4](made(change))) is blamed


@pytest.mark.parametrize(("oxygen", "blamed"), [("act now", False), ("within limit", True)])
def test_air_is_blamed_for_no_breath_of_fish_that_had_no_oxygen(oxygen: str, blamed: bool) -> None:
    gas = "induction-1/carbon dioxide"
    change = _both(
        _set("judgements", "induction-1/oxygen", verdict=oxygen),
        _add("judgements", judgement(gas, "carbon dioxide", "watch")),
        _add("judgements", judgement(f"{gas}/aired", "carbon dioxide", "act now", before=gas)),
        _set("actions", AIR, leads_to=[f"{gas}/aired"], costs=[{"code": "x", "words": {"judgement": f"{gas}/aired"}}]),
    )
    assert bool(CHECKS[4](made(change))) is blamed


def test_a_figure_may_be_added() -> None:
    extra = judgement("induction-1/volume", "volume", "watch", figure="induction-1/volume/after")
    change = _both(
        _add("judgements", extra),
        lambda document: document["figures"].update({"induction-1/volume/after": figure(1, 1, 1, "L", 1)}),
    )
    assert CHECKS[6](made(change)) == []


# -- over generated cases -----------------------------------------------------------------------------------------

# The longer run plans these and those that the other tests over generated cases change, over a hundred; the ordinary ten.
ORDINARY, SLOW, SEED = 40, 2_000, 10
MOST_S = 5.0


def strange(made: Iterable[Generated], seed: int) -> Iterator[list[str]]:
    """What is wrong with the plans of spoilt cases: an exception, time, memory, a number that is none, green from nothing."""
    for case in made:
        begin, more_kb, found = time.process_time(), watched(), []
        try:
            plan = odd(case, seed).plan()
        except Exception as error:
            found.append(repr(error))
        else:
            took = time.process_time() - begin
            found += [f"took {took:.1f} s"] if took > MOST_S else []
            found += (
                ["NaN or infinity"] if re.search(r"\b(?:NaN|Infinity)\b", plan.model_dump_json(by_alias=True)) else []
            )
            found += invariants.check_2(plan)
        found += [f"{more} kB of memory"] if (more := more_kb()) > MOST_MORE_KB else []
        yield [f"spoilt case {case.number} of seed {seed}: {one}" for one in found]


Swept = tuple[list[str], Counter[tuple[Hazard, Verdict]], Counter[Kind]]


def sweep(made: Iterable[Generated], seed: int) -> Swept:
    """The complaints of a run, and how often each verdict and each kind of action occurred in it."""
    complaints: list[str] = []
    verdicts: Counter[tuple[Hazard, Verdict]] = Counter()
    kinds: Counter[Kind] = Counter()
    for case in made:
        plan = case.plan()
        verdicts.update((judgement.hazard, judgement.verdict) for judgement in plan.judgements)
        kinds.update(action.kind for action in plan.actions)
        for check in (*invariants.CHECKS, *soundness.CHECKS):
            complaints += [f"case {case.number} of seed {seed}, {check.__name__}: {one}" for one in check(plan)]
    return complaints, verdicts, kinds


def report(verdicts: Counter[tuple[Hazard, Verdict]], kinds: Counter[Kind]) -> str:
    """How often each hazard came to each verdict, and how often each kind of action was thought of."""
    head = f"{'':20}" + "".join(f"{verdict:>14}" for verdict in Verdict)
    rows = [f"{hazard:20}" + "".join(f"{verdicts[hazard, verdict]:>14}" for verdict in Verdict) for hazard in Hazard]
    return "\n".join([head, *rows, "", *(f"{kind:20}{kinds[kind]:>14}" for kind in Kind)])


BATCH = 4
BATCHES = longer_but_for((0,), range(0, ORDINARY // 2, BATCH))


@pytest.mark.parametrize("begin", BATCHES)
def test_no_generated_case_breaks_one(begin: int) -> None:
    """Slow: each case is planned; what an unforeseen case breaks is found in numbers only."""
    complaints = sweep(islice(cases(begin + BATCH, SEED), begin, None), SEED)[0]
    assert not complaints, f"{len(complaints)} complaints:\n" + "\n".join(complaints[:40])


@pytest.mark.parametrize("begin", BATCHES)
def test_no_spoilt_case_breaks_a_plan(begin: int) -> None:
    """Slow: each case is planned; what an unforeseen case breaks is found in numbers only."""
    first = ORDINARY // 2 + begin
    complaints = strange(islice(cases(first + BATCH, SEED), first, None), SEED)
    found = [one for several in complaints for one in several]
    assert not found, f"{len(found)} complaints:\n" + "\n".join(found[:40])


# Two thousand are planned in the slow run, half of each kind, a hundred to a test: no test of it takes over five minutes.
MANY = [range(begin, begin + 100) for begin in range(0, SLOW // 2, 100)]


@pytest.mark.slow
@pytest.mark.parametrize("numbers", MANY, ids=str)
def test_no_spoilt_case_of_many_breaks_a_plan(numbers: range) -> None:
    made = islice(cases(numbers.stop, SEED + 2), numbers.start, None)
    complaints = [one for found in strange(made, SEED + 2) for one in found]
    assert not complaints, f"{len(complaints)} complaints:\n" + "\n".join(complaints[:40])


@pytest.mark.parametrize(
    "number",
    [
        pytest.param(327, id="no depth"),
        pytest.param(407, id="no stretch"),
        pytest.param(546, id="no width"),
        pytest.param(607, id="days without air"),
        pytest.param(642, id="oxygen of any amount"),
    ],
)
def test_what_spoilt_cases_broke(number: int) -> None:
    """A depth and a width good to a kilometre, of which salt and bicarbonate are weighed; a pond of which nothing is told; a
    tank in which fish and filter are short of oxygen for days; oxygen good to ten times what the water holds."""
    assert list(strange([case_of(number, SEED + 2)], SEED + 2)) == [[]]


def swept(numbers: range) -> Swept:
    """The same of some of many cases, made by whoever asks first."""
    made = islice(cases(numbers.stop, SEED + 1), numbers.start, None)
    return kept(f"generated-{numbers.start}-swept", lambda: sweep(made, SEED + 1))


@pytest.mark.parametrize(
    "number",
    [
        pytest.param(170, id="chlorine, and two readings of oxygen"),
        pytest.param(365, id="too hot or too cold, nobody knows"),
        pytest.param(70, id="a step home from an aired tank"),
        pytest.param(856, id="a tank of hot tap water"),
        pytest.param(933, id="a box like a tank whose heater stuck for two days"),
    ],
)
def test_what_generated_cases_broke(number: int) -> None:
    """Plans that stopped, or that contradicted themselves; of two readings of one time the grams are for the worst of either."""
    assert sweep([case_of(number, SEED + 1)], SEED + 1)[0] == []


@pytest.mark.slow
@pytest.mark.parametrize("numbers", MANY, ids=str)
def test_no_generated_case_of_many_breaks_one(numbers: range) -> None:
    complaints = swept(numbers)[0]
    assert not complaints, f"{len(complaints)} complaints:\n" + "\n".join(complaints[:40])


@pytest.mark.slow
def test_among_many_cases_is_every_verdict_and_every_kind_of_action() -> None:
    """Too few of the ordinary run come to the rarest of them."""
    verdicts: Counter[tuple[Hazard, Verdict]] = Counter()
    kinds: Counter[Kind] = Counter()
    for numbers in MANY:
        _, some_verdicts, some_kinds = swept(numbers)
        verdicts.update(some_verdicts)
        kinds.update(some_kinds)
    print(report(verdicts, kinds))
    assert not [
        f"{hazard}: {verdict}" for hazard, verdict in invariants.verdicts_allowed() if not verdicts[hazard, verdict]
    ]
    assert not [kind for kind in invariants.kinds_allowed() if not kinds[kind]]
