"""A tub that is like the waters its fish come out of: in salt the one before it, in pH where they wake the home water."""

from collections.abc import Collection, Iterator
from dataclasses import replace

import numpy as np

from waterplan import tables
from waterplan.actions.amounts import down, high, least_g, low, rule, up
from waterplan.actions.needs import Need, needs
from waterplan.actions.proposing import Context, Proposal, codes
from waterplan.actions.record import Instead, Kind
from waterplan.actions.source import amounts_of, suspected
from waterplan.dose.salt import salt_to_add_g
from waterplan.hazards import levels
from waterplan.hazards.limit_rows import water_limit
from waterplan.hazards.record import Hazard, Verdict, Why
from waterplan.hazards.subject import Subject, ways_of
from waterplan.published import FloatArray
from waterplan.stay import operations
from waterplan.stay.effects import Changed, SaltIn
from waterplan.stay.filling import drawn, source_for
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import ActEnd, WaterKind
from waterplan.stay.salted import salt_ceiling_of, zeolite_in
from waterplan.stay.state import State
from waterplan.stay.waters import HOME

_ALL = 1.0
_KEPT_APART = codes("air-then-read-ph-again", "do-not-adjust-ph")


def salted_like(context: Context) -> Iterator[Proposal]:
    """Salt for a tub that holds less than the water before it, by more than a fish meets at once."""
    brought: dict[str, FloatArray] = {}
    for need in _unlike(context, Hazard.SALT_STEP):
        (way, *_) = _ways(need)
        left, litres = levels.state_of(way, need.start_h)[Q.SALT], need.state[Q.VOLUME]
        there = brought.get(way.water.place.id, left)
        here, ceiling = need.state[Q.SALT], salt_ceiling_of(need.ground, need.water.place)
        step = tables.row("dose_rules", rule="salt_lowered").value
        grams = salt_to_add_g(litres, present_g_per_l=here, intended_g_per_l=there)
        wanted = low(there)
        total = down(min(low(litres) * max(wanted - high(here), 0.0), need.least(grams)), "g")
        too_little = high(there - here) <= step or total < least_g()
        if too_little or wanted > ceiling.value or any(zeolite_in(need.ground, need.water.place)):
            continue
        brought[need.path] = here + total / litres
        yield need.proposal(
            Kind.SALT,
            "like",
            key="salinity",
            substance="salt",
            amounts={
                "salt": need.put("salt/like", grams, "g", act_end=ActEnd.LOW, act_on=total, worked_out_for="low"),
                "level": need.put("salt/like-level", there, "g/L", act_end=ActEnd.LOW),
            },
            worked_out_for={"volume": "low", "salt": "high"},
            words={"as": way.water.place.id},
            cautions=codes("salt-without-additives", "dissolve-salt-first"),
            effects=[SaltIn(parts=[(None, total)])],
        )


def changed_like(context: Context, *, but_for: Collection[str | None]) -> Iterator[Proposal]:
    """Home water into a tub that holds more salt than the water before it, or whose pH is too far from that of the home.

    `but_for` are the waters that are changed for something graver.
    """
    for need in _unlike(context, Hazard.SALT_STEP, Hazard.PH_CHANGE):
        aims = tuple(_aims(need))
        if aims and need.path not in but_for:
            yield _changed(need, aims)


def _unlike(context: Context, *hazards: Hazard) -> list[Need]:
    """The tubs that no fish is in yet and that are known to be unlike the water before, in the order of the fish's way."""
    found = needs(context, *hazards)
    known = [one for one in found if any(called.verdict is not Verdict.NOT_KNOWN for called in one.judged)]
    tubs = [one for one in known if one.ahead and one.kind in (WaterKind.INDUCTION, WaterKind.REVIVAL) and _ways(one)]
    return sorted(tubs, key=lambda one: one.start_h)


def _ways(need: Need) -> list[Subject]:
    """The waters before it as they are now."""
    return list(ways_of(Subject(stay=need.context.stay, water=need.water, stretch=need.stretch)))


# -- by a change ----------------------------------------------------------------------------------------------------


def _aims(need: Need) -> Iterator[tuple[Q, FloatArray, float]]:
    """What is too far from where it should be: the quantity, its level there, and how far it may lie from that."""
    ways, state = _ways(need), need.state
    salt = levels.state_of(ways[0], need.start_h)[Q.SALT]
    step = tables.row("dose_rules", rule="salt_lowered").value
    if need.calls(Hazard.SALT_STEP) and high(state[Q.SALT] - salt) > step:
        yield Q.SALT, salt, step
    home = next((one for one in ways if one.kind is WaterKind.HOME), None)
    if home is not None and need.calls(Hazard.PH_CHANGE) and need.kind is WaterKind.REVIVAL:
        ph, limit = levels.state_of(home)[Q.PH], water_limit("ph_change", "limit").value
        if high(np.abs(state[Q.PH] - ph)) > limit:
            yield Q.PH, ph, limit


def _changed(need: Need, aims: tuple[tuple[Q, FloatArray, float], ...]) -> Proposal:
    """The least share of home water that brings all near enough, tried by the plan's own mixing; up to all of it."""
    state, pours = need.state, Changed(litres=0.0, source=HOME)
    poured = source_for(need.ground, state[Q.TEMPERATURE], pours, drawn(need.context.later[HOME], need.start_h))
    shares = np.arange(rule("change step"), _ALL + 1e-9, rule("change step"))
    mixed = ((one, operations.change(state, poured, one * state[Q.VOLUME], came_from="trial")) for one in shares)
    share = next((float(one) for one, made in mixed if _is_near(made, aims)), None)
    because = tuple(suspected(need, HOME)) or tuple(_stays_apart(need, poured, aims) if share is None else ())
    if because or share is None:
        instead = (Instead(kind=Kind.AIR, because=_KEPT_APART),)
        return need.proposal(Kind.CHANGE, "like", source=HOME, refused_because=because, instead=instead)
    litres = up(share * low(state[Q.VOLUME]), "L") if share < _ALL else down(low(state[Q.VOLUME]), "L")
    by_ph = any(quantity is Q.PH for quantity, _, _ in aims)
    return need.proposal(
        Kind.CHANGE,
        "like",
        key="ph" if by_ph else "salinity",
        source=HOME,
        amounts=amounts_of(need, pours, litres, "change/like"),
        worked_out_for={"volume": "low"},
        cautions=(*codes("like-the-home-water"), *(_KEPT_APART if by_ph else ())),
        effects=[replace(pours, litres=litres)],
    )


def _is_near(state: State, aims: tuple[tuple[Q, FloatArray, float], ...]) -> bool:
    return all(high(np.abs(state[quantity] - there)) <= most for quantity, there, most in aims)


def _stays_apart(need: Need, poured: State, aims: tuple[tuple[Q, FloatArray, float], ...]) -> Iterator[Why]:
    """What home water alone would come to in the tub, and where it should be."""
    for quantity, there, most in aims:
        if high(np.abs(poured[quantity] - there)) > most:
            figures = {
                "there": need.put(f"change/like/{quantity}/there", there, UNITS[quantity]),
                "aired": need.put(f"change/like/{quantity}/aired", poured[quantity], UNITS[quantity]),
            }
            yield Why(code="home-water-is-another-when-aired", figures=figures, words={"quantity": quantity.value})
