"""Doses at random, by values and through labels and cases: none passes its ceiling, no antidote stays under its floor."""

import math
import random

import numpy as np
import pytest

from tests.actions.doses.dosed import all_doses, dose, table
from waterplan.actions.doses.draft import Stopped
from waterplan.actions.doses.portions import Bench, portion, split, summed
from waterplan.actions.doses.sums import highest, needed, require_room
from waterplan.case.bottle import parse_bottle
from waterplan.dose.rounding import Safe
from waterplan.dose.substances import substance
from waterplan.spread import band
from waterplan.stay.effects import SaltIn, SubstanceIn
from waterplan.stay.quantities import Q

ROOM = 1.0 + 1e-6
LABELS = ("powder", "98 % pure", "80 % Pure", "10 mg/mL", "500 MG/mL", "5 % w/v", "2.5% W/V", "100 mg tablets")


def by_values(count: int, seed: int) -> int:
    """So many doses of random volumes, levels, errors and instruments; how many of them were made."""
    rng, made_of = np.random.default_rng(seed), 0
    scatter = rng.standard_normal((2, 33))
    litres, wanted = 10.0 ** rng.uniform(-0.3, 4.5, count), 10.0 ** rng.uniform(-1.0, 2.6, count)
    spread, there = rng.uniform(0.0, 0.4, count), wanted * rng.choice([0.0, 0.2, 0.9, 1.2], count)
    error, division = there * rng.uniform(0.0, 0.3, count), 10.0 ** rng.integers(-3, 2, count)
    antidote, label = rng.random(count) < 0.3, rng.integers(0, len(LABELS), count)
    parts, ceiling = rng.integers(1, 5, count), wanted * rng.choice([0.9, 1.0, 1.5, 4.0], count)
    bottles, row = [parse_bottle(text) for text in LABELS], substance("praziquantel")
    for n in range(count):
        volume = litres[n] * np.exp(spread[n] * scatter[0])
        held = np.clip(there[n] + error[n] * scatter[1], 0.0, None)
        safe = Safe.UP if antidote[n] else Safe.DOWN
        bench = Bench(row=row, bottle=bottles[label[n]], scale_g=float(division[n]), syringe_ml=float(division[n]))
        level, most = float(wanted[n]), float(ceiling[n])
        try:
            if not antidote[n]:
                require_room(volume, wanted=level, there=held, ceiling=most, guessed=False, unit="mg/L")
            made = portion(bench, needed(volume, wanted=level, there=held, safe=safe).amount, wanted=level, safe=safe)
        except Stopped:
            continue
        made_of += 1
        shared = split(made.amount, division=made.division, parts=int(parts[n]))
        assert math.isclose(summed(shared), made.amount, abs_tol=1e-9), n
        if antidote[n]:
            assert band(held).low + made.given * 1000.0 / band(volume).high >= level / ROOM, n
        elif made.given > 0.0:
            assert highest(volume, there=held, given=made.given) <= min(level, most) * ROOM, n
    return made_of


def test_doses_on_values() -> None:
    assert by_values(3_000, 1) > 500


@pytest.mark.slow
@pytest.mark.parametrize("fifth", range(5))
def test_a_million_doses_on_values(fifth: int) -> None:
    assert by_values(200_000, 2 + fifth) > 40_000


# Substance, use, levels, unit as it may be spelt, and the labels of a bottle.
DOSES = (
    ("salt", "dip", (2.0, 30.0), ("g/L", "G/L", " g/L"), ("",)),
    ("formalin", "bath", (20.0, 260.0), ("uL/L", "µL/L", "ul/l"), ("", "37 % w/v")),
    (
        "tricaine",
        "induction",
        (20.0, 180.0),
        ("mg/L", "MG/L", "mg/l"),
        ("powder", "80 % pure", "100 mg/mL", "10 % w/v"),
    ),
    ("eugenol", "induction", (5.0, 90.0), ("mg/L",), ("85 % eugenol", "100 mg/mL")),
    ("praziquantel", "bath", (1.0, 12.0), ("mg/L",), ("powder", "50 mg tablets")),
)
TUBS = 6


def through_a_case(rng: random.Random) -> int:
    """A case of several tubs, each with a substance by one to three doses and perhaps some there already; doses made."""
    text, meant = "", {}
    for number in range(1, TUBS + 1):
        what, use, (low, high), units, labels = rng.choice(DOSES)
        litres = round(10.0 ** rng.uniform(0.7, 3.0), 1)
        error = rng.choice((f" ± {round(litres * rng.uniform(0.0, 0.3), 2)}", ""))
        text += table("vessels", name=f"t{number}", use="dip", volume=f"{litres}{error} L")
        levels = [round(rng.uniform(low, high), 1) for _ in range(rng.choice((1, 1, 2, 3)))]
        for level in levels:
            unit = rng.choice(units)
            text += dose(
                *(what, use, f"t{number}"),
                strength=f"{level} {unit}",
                again=rng.choice(("", f"{level} {unit}")),
                bottle=rng.choice(labels),
                scale=rng.choice(("", "0.01 g", "1 g", "5 g")),
                syringe=rng.choice(("", "0.1 mL", "1 mL")),
            )
        if rng.random() < 0.5:
            there = round(rng.uniform(0.0, high / 2), 1)
            text += table("already", what=what, where=f"t{number}", level=f"{there} ± {round(there / 5, 2)} {units[0]}")
        meant[f"dip-{number}"] = (what, max(levels))
    made, at_hand = all_doses(text)
    count = 0
    for path, (what, most) in meant.items():
        effects = [one for proposal in made for one in proposal.effects if one.water == path]
        given = [
            sum(float(np.max(grams)) for _, grams in one.parts) if isinstance(one, SaltIn) else float(np.max(one.grams))
            for one in effects
            if isinstance(one, SaltIn | SubstanceIn)
        ]
        water, is_salt = at_hand.stay[path].start, what == "salt"
        there = water[Q.SALT] if is_salt else water.contents[what].draws if what in water.contents else 0.0
        litres, per_unit = water[Q.VOLUME], 1.0 if is_salt else 1000.0
        for one in given:  # each with what is there at its high end, the doses before it among that
            level = highest(litres, there=np.asarray(there + 0.0 * litres), given=one, per_unit=per_unit)
            assert level <= most * ROOM, (path, what, text)
            there = there + one * per_unit / litres
        count += len(given)
    return count


@pytest.mark.longer
def test_doses_through_labels_and_cases() -> None:
    rng = random.Random(5)
    assert sum(through_a_case(rng) for _ in range(20)) > 30


@pytest.mark.slow
@pytest.mark.parametrize("fifth", range(5))
def test_many_doses_through_labels_and_cases(fifth: int) -> None:
    """Twenty thousand in all."""
    rng, count = random.Random(6 + fifth), 0
    while count < 4_000:
        count += through_a_case(rng)
