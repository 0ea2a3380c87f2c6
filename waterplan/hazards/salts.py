"""Salt against what the fish bear; and nitrite, which the chloride of salt keeps out of the gills."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from waterplan import tables
from waterplan.dose.salt import Exposure
from waterplan.hazards import levels
from waterplan.hazards.limit_rows import RATIO, water_limit
from waterplan.hazards.limits import at_most, in_draws
from waterplan.hazards.record import Side, Why
from waterplan.hazards.subject import Assessed, Rests, Subject
from waterplan.published import FloatArray
from waterplan.stay.quantities import Q
from waterplan.stay.record import Moment, WaterKind
from waterplan.stay.state import Known, chloride_mg_per_l

BEFORE_ANAESTHETIC, GUARDED = "before an anaesthetic", "guarded-by-chloride"
SIGN_STOPS = "sign-stops-an-elective-anaesthetic"
UNEXPLAINED, _READ_WITH_IT = "low nitrite beside brown gills", "chloride beside brown gills"
_EXPOSURE = {WaterKind.DIP: Exposure.DIP, WaterKind.INDUCTION: Exposure.BATH, WaterKind.IRRIGATION: Exposure.BATH}


def salt(subject: Subject) -> Assessed:
    """The most salt of a stretch against the lowest ceiling of its fish for as long as they stay in it."""
    exposure = _EXPOSURE.get(subject.kind, Exposure.PROLONGED)
    groups = sorted({one.salt_group for one in subject.species} or {"other"})
    ceilings = (tables.row("salt_ceilings", group=group, exposure=exposure.value) for group in groups)
    lowest = min(ceilings, key=lambda row: (row.value, row.high))
    return at_most(subject, Q.SALT, Q.VOLUME, limit=lowest, harm=replace(lowest, value=lowest.high))


def nitrite(subject: Subject) -> Assessed:
    """Nitrite of a water against what its chloride allows."""
    watch, act = _levels()
    kept_out, limit_at, limit = nitrite_allowed(subject)
    guarded, act_at = kept_out >= levels.most(subject, Q.NITRITE), in_draws(subject, act)
    harm_at = np.where(guarded, np.maximum(act_at, kept_out), act_at)
    raised = limit is not watch
    return at_most(
        subject,
        *(Q.NITRITE, Q.CHLORIDE, Q.VOLUME),
        limit=limit,
        limit_at=limit_at,
        harm_at=harm_at,
        clocks={"harm": levels.until(subject, Q.NITRITE, harm_at, falls=False)},
        rests=tuple(_read_with_it(subject)),
        rows=(watch.id, act.id, water_limit("chloride_ratio", "least").id),
        why=(Why(code=GUARDED),) if raised and guarded[0] else (),
        counts="errors of the readings and the spread of the limit" if raised else "errors of the readings",
    )


def _read_with_it(subject: Subject) -> Iterator[Rests]:
    """Chloride, which is read again with a nitrite that does not explain the gills."""
    known, water = subject.state.known, subject.water.place.id
    if any(doubt == UNEXPLAINED for _, doubt in known[Q.NITRITE].doubts):
        there = known.get(Q.CHLORIDE) or Known.made(chloride_mg_per_l(subject.state), None)
        doubts = there.doubts | {(f"{water}/{Q.CHLORIDE}", _READ_WITH_IT)}
        yield Rests(water=water, quantity=Q.CHLORIDE.value, known=replace(there, doubts=doubts))


def _levels() -> tuple[tables.Row, tables.Row]:
    return water_limit("nitrite", "watch"), water_limit("nitrite", "act")


def nitrite_allowed(subject: Subject) -> tuple[FloatArray, FloatArray, tables.Row]:
    """A tenth of the chloride; the limit that it makes, from the level to watch to that to act at, and the row of that.

    It hangs on the chloride alone: whatever nitrite is read, the limit is the same.
    """
    (watch, act), ratio = _levels(), water_limit("chloride_ratio", "least")
    kept_out = _chloride(subject, watch.value) / ratio.value
    allowed = np.maximum(np.minimum(kept_out, in_draws(subject, act)), watch.value)
    allowed[0] = max(min(float(kept_out[0]), act.value), watch.value)
    return kept_out, allowed, {watch.value: watch, act.value: act}.get(float(allowed[0]), ratio)


def before_anaesthesia(subject: Subject) -> Assessed | None:
    """Chloride against nitrite in the pond before its patients are put under: what the blood cannot carry no meter shows.

    A sign of it that was seen stops it whatever was read.
    """
    ground, stretch = subject.stay.ground, subject.stretch
    patient = any(one.patient for one in subject.fish)
    if stretch is None or stretch.moment is not Moment.CALL or not patient or not ground.case.is_operated_in:
        return None
    watch, least = water_limit("nitrite", "watch"), water_limit("chloride_ratio", "least")
    found, there = levels.most(subject, Q.NITRITE), chloride_mg_per_l(levels.state_of(subject))
    asked, enough = found > watch.value, there >= least.value * found
    # The nitrite itself has one limit, that of its water: this is one of the chloride for each mg of it.
    ratio = {"values": there / np.maximum(found, watch.value), "unit": RATIO, "side": Side.AT_LEAST, "limit": least}
    made = Assessed(
        quantity=Q.NITRITE,
        passed=~asked | enough,
        quantities=(Q.NITRITE, Q.CHLORIDE),
        rows=(watch.id, least.id),
        severity="kills",
        which=BEFORE_ANAESTHETIC,
        part=BEFORE_ANAESTHETIC,
        **(ratio if asked[0] else {"values": found}),
    )
    stopping = [row["sign"] for row in tables.rows("signs", anaesthetic="stops")]
    seen = [one.sign for water in ground.places for one in ground.seen(water) if one.sign in stopping]
    if seen:
        why = Why(code=SIGN_STOPS, words={"sign": seen[0]})
        return replace(made, passed=np.zeros(subject.state.size, dtype=bool), why=(why,))
    stops = () if enough[0] or not asked[0] else (Why(code="nitrite-stops-an-elective-anaesthetic"),)
    return replace(made, why=stops)


def _chloride(subject: Subject, watch: float) -> FloatArray:
    """Chloride that may be counted on: in a tank its least while nitrite is above a level, since salt goes in by steps."""
    there = chloride_mg_per_l(levels.state_of(subject))
    lasts = levels.least_while(subject, Q.CHLORIDE, Q.NITRITE, watch)
    return there if lasts is None else np.where(np.isfinite(lasts), lasts, there)
