"""The papers of a plan as pages of HTML to print: each takes the record, in the reader's units and words."""

from collections.abc import Iterable, Iterator
from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from waterplan.actions.record import Action, Kind, Who
from waterplan.hazards.record import Hazard, Judgement, Verdict
from waterplan.papers.drawings import MINUTES, Drawings, air_off
from waterplan.plan.record import Day, Grid
from waterplan.stay.record import ActEnd, Figure, Water, WaterKind
from waterplan.words import numbers
from waterplan.words.lines import action_line, cautions, hangs_on, judgement_line, judgement_words, measure_line
from waterplan.words.speaker import Speaker, capital
from waterplan.words.terminal import have_lines, heading, shown_judgements

_NOT_TUBS = frozenset({WaterKind.HOME, WaterKind.SOURCE})
_WEIGHED = frozenset({"g", "kg", "mg", "mL", "uL"})
_ASIDE = frozenset({"given", "division", "vial", "make up to", "weight"})
_BESIDE = frozenset({"level", "wanted", "dose", "strength", "contact", "ceiling", "weight"})
_OF_THE_SUBSTANCE = frozenset({"mass", "stock", "draw", "amount", "volume"})
_CARDS = frozenset({Kind.DOSE, Kind.INJECTION, Kind.SALT})
_SHOWN = 4
_ASLEEP, _SEDATED = frozenset({"induction", "maintenance", "anaesthesia"}), "sedation"
# What is read at each round, with the unit and the basis that it is written in.
_READ = (
    ("temperature", "°C"),
    ("oxygen", "mg/L"),
    ("total ammonia", "mg/L as N"),
    ("nitrite", "mg/L as NO2"),
    ("ph", ""),
    ("salt", "g/L"),
)
_KIT = frozenset({"oxygen", "ammonia", "nitrite", "chlorine", "ph", "temperature", "salt", "alkalinity"})
_DRAWN = frozenset({"oxygen", "un-ionised ammonia", "temperature", "salt"})


# -- for the owner --------------------------------------------------------------------------------------------------


def owner_page(drawings: Drawings, size: str = "A4") -> str:
    """For the owner: what to do, on which days, the numbers of a kit, when to phone; no chances."""
    speaker = drawings.speaker
    mine = [one for one in speaker.plan.actions if one.done is None and _for_owner(one)]
    open_ones = [one for one in mine if not one.refused_because]
    dated = sorted((one for one in open_ones if one.at), key=lambda one: str(one.at))
    return _page(
        "owner.html",
        drawings,
        _title(speaker, "owner"),
        size=size,
        undated=[one for one in open_ones if not one.at],
        dated=dated,
        refused=[one for one in mine if one.refused_because and one.substance],
        limits=list(_kit_limits(speaker)),
        stitches=[
            speaker.clock(one.at, "date")
            for one in speaker.plan.actions
            if _stitches(one) and "inspect" in one.amounts and one.at
        ],
        last_day=speaker.clock(speaker.plan.days[-1].at, "date") if speaker.plan.days else "",
    )


def _for_owner(one: Action) -> bool:
    return one.who is Who.OWNER and not _stitches(one)


def _stitches(one: Action) -> bool:
    return one.kind is Kind.WAIT


def _in_a_kit(one: Judgement) -> bool:
    """Whether a judgement has a limit that a kit or a meter of the bench shows; a clock is none."""
    return one.hazard in _KIT and one.limit is not None and one.limit.unit not in numbers.TIMES


def _kit_limits(speaker: Speaker) -> Iterator[tuple[str, str]]:
    """A limit of the home water for each hazard that an owner's kit shows."""
    homes = [one.id for one in speaker.plan.waters if one.kind is WaterKind.HOME]
    told = set()
    for one in speaker.plan.judgements:
        if one.water not in homes or one.hazard in told or one.limit is None or not _in_a_kit(one):
            continue
        told.add(one.hazard)
        total = f"{one.water}/ammonia/limit"
        if one.hazard is Hazard.CHLORINE:
            yield speaker.say("hazard.chlorine"), speaker.say("owner.no chlorine")
        elif one.hazard is not Hazard.AMMONIA:
            yield speaker.say(f"hazard.{one.hazard}"), speaker.limit(one.limit)
        elif total in speaker.plan.figures:
            yield speaker.say("hazard.ammonia"), speaker.say("owner.ammonia at most", value=speaker.figure(total))


# -- beside the tubs ------------------------------------------------------------------------------------------------


def tub_cards(drawings: Drawings, size: str = "A5") -> str:
    """A card for each tub, bag and tank: its clock, what to do, what is in it, how it is judged."""
    speaker = drawings.speaker
    tubs = [one for one in speaker.plan.waters if one.kind not in _NOT_TUBS]
    return _page(
        "tub-cards.html",
        drawings,
        _title(speaker, "tub cards"),
        [one.name or str(one.kind) for one in tubs] if tubs else (),
        size,
        cards=[_card(drawings, one) for one in tubs],
    )


def _card(drawings: Drawings, water: Water) -> dict[str, Any]:
    speaker, plan = drawings.speaker, drawings.speaker.plan
    quantities = _latest(water)
    volume = quantities.pop("volume", None)
    falling = drawings.of(water.id, planned=False)
    return {
        "water": water,
        "who": speaker.join(dict.fromkeys(speaker.name(one.fish) for one in water.occupants), ", "),
        "volume": volume.figure if volume else None,
        "clocks": _clocks(speaker, water.id),
        "actions": [one for one in plan.actions if one.water == water.id and one.done is None],
        "quantities": list(quantities.items()),
        "contents": [(content, state.hypothetical) for state in water.states for content in state.contents],
        "lines": _brief(speaker, _judged(speaker, water.id)),
        "chart": falling[0] if falling else drawings.clocks.get(water.id, ""),
    }


def _latest(water: Water) -> dict[str, Any]:
    """The last value of each quantity of a water."""
    return {name: one for state in water.states if not state.hypothetical for name, one in state.quantities.items()}


def _clocks(speaker: Speaker, water: str) -> list[tuple[str, str]]:
    """The clock of a water from when its air stops: which stage, and its figure."""
    return [(speaker.say(f"which.{stage}"), path) for stage, path in air_off(speaker.plan, water).items()]


def _judged(speaker: Speaker, water: str) -> list[Judgement]:
    shown = {path for state in speaker.plan.moments for path in shown_judgements(speaker.plan, state)}
    return [one for one in speaker.plan.judgements if one.water == water and one.id in shown]


def _brief(speaker: Speaker, judgements: Iterable[Judgement]) -> list[str]:
    """The worst that is not within its limit, a line each; the rest is counted."""
    judged = sorted(judgements, key=lambda one: -one.verdict.rank)
    away = [one for one in judged if one.verdict is not Verdict.WITHIN_LIMIT]
    lines = []
    for one in away[:_SHOWN]:
        words = judgement_words(speaker, one)
        values = {name: getattr(words, name) for name in ("sign", "hazard", "figure", "limit", "measure")}
        values["why"] = "" if words.figure else words.why
        lines.append(speaker.say("card.line", **values))
    counts = (("more", len(away) - len(lines)), ("others", len(judged) - len(away)))
    return lines + [speaker.say(f"card.{key}", n=n) for key, n in counts if n > 0]


def contingency_page(drawings: Drawings, size: str = "A4") -> str:
    """What to do if something fails, and how long there is, in the worst case."""
    speaker, figures = drawings.speaker, drawings.speaker.plan.figures
    rows = []
    for water in speaker.plan.waters:
        clock = air_off(speaker.plan, water.id)
        if water.kind is not WaterKind.HOME and clock:
            rows.append((water.id, clock.get("until-alarm"), clock.get("until-emergency")))
    rows.sort(key=lambda row: _soon(figures, row[2] or row[1]))
    bags = {one.id for one in speaker.plan.waters if one.kind in {WaterKind.BAG, WaterKind.BOX}}
    long_stays = {one.id for one in speaker.plan.waters if one.kind in {WaterKind.HOME, WaterKind.HOSPITAL}}
    times = [path for path, one in figures.items() if one.unit in numbers.TIMES]
    return _page(
        "contingency.html",
        drawings,
        _title(speaker, "contingency"),
        size=size,
        tubs_at=rows,
        times={
            "power fails": [path for path in times if "power" in path and path.split("/")[0] in long_stays],
            "heater sticks on": [path for path in times if "heater" in path],
            "bag is opened": [path for path in times if path.split("/")[0] in bags and "until-emergency" in path],
            "chlorine": [],
            "jump": [],
        },
    )


def _soon(figures: dict[str, Figure], path: str | None) -> float:
    figure = figures[path] if path else None
    return float("inf") if figure is None or figure.act_on is None else figure.act_on * MINUTES[figure.unit]


# -- in the ward ----------------------------------------------------------------------------------------------------


def hospital_page(drawings: Drawings, size: str = "A4") -> str:
    """For the nurse, a sheet for each hospital tank: orders, limits, and the readings of each round."""
    speaker, plan = drawings.speaker, drawings.speaker.plan
    wards = [one for one in plan.waters if one.kind is WaterKind.HOSPITAL]
    return _page(
        "hospital.html",
        drawings,
        _title(speaker, "hospital"),
        [one.name or str(one.kind) for one in wards],
        size,
        wards=[_ward(drawings, one) for one in wards],
        rounds=list(_rounds(speaker)),
        days=_changed_days(plan.days),
    )


def _ward(drawings: Drawings, water: Water) -> dict[str, Any]:
    speaker, plan = drawings.speaker, drawings.speaker.plan
    facts = [(speaker.word(name), one.figure) for name, one in _latest(water).items()]
    facts += _clocks(speaker, water.id)
    limits, told = [], set()
    for one in plan.judgements:
        if one.water == water.id and one.hazard not in told and _in_a_kit(one):
            told.add(one.hazard)
            key = f"alarm.{one.hazard}"
            limit = speaker.limit(one.limit) if one.limit else ""
            limits.append((speaker.say(f"hazard.{one.hazard}"), limit, key * (key in speaker.book)))
    return {
        "water": water,
        "facts": facts,
        "actions": [one for one in plan.actions if one.water == water.id and one.done is None],
        "limits": limits,
        "grids": [(path, _grid(speaker, grid)) for path, grid in plan.grids.items() if path.startswith(f"{water.id}/")],
        "columns": list(dict.fromkeys(name for day in plan.days for name in day.figures)),
        "empty": [(speaker.word(name), speaker.amount_unit(unit)) for name, unit in _READ],
        "charts": drawings.of(water.id, planned=True, quantities=_DRAWN),
    }


def _changed_days(days: Iterable[Day]) -> list[Day]:
    """The days on which something else is due than the day before."""
    kept: list[Day] = []
    for day in days:
        if not kept or day.actions != kept[-1].actions:
            kept.append(day)
    return kept


def _rounds(speaker: Speaker) -> Iterator[tuple[str, str]]:
    for day in speaker.plan.days:
        for half in ("early", "late"):
            yield speaker.clock(day.at, "date"), speaker.say(f"ward.{half}")


def _grid(speaker: Speaker, grid: Grid) -> str:
    """A small table; its cells carry the rows that it rests on."""
    rests_on = grid.table_rows[0]
    rows = []
    for row, cells in zip(grid.rows, grid.cells, strict=True):
        texts = [speaker.row(numbers.plain(numbers.rounded(value, ActEnd.LOW)), rests_on) for value in cells]
        rows.append((_plain(speaker, row, grid.row_unit), texts))
    text = (
        _templates()
        .get_template("grid.html")
        .render(
            row_unit=speaker.amount_unit(grid.row_unit),
            column_unit=speaker.unit(grid.column_unit),
            columns=[_plain(speaker, column, grid.column_unit) for column in grid.columns],
            rows=rows,
            unit=speaker.amount_unit(grid.unit),
        )
    )
    return Markup(text)


def _plain(speaker: Speaker, value: float, unit: str) -> str:
    return numbers.plain(numbers.read_in(value, unit, speaker.system)[0])


# -- for the doses --------------------------------------------------------------------------------------------------


def dose_cards(drawings: Drawings, size: str = "A5") -> str:
    """A card for each dose, injection and thing weighed into a water; refused ones say so and have nothing to weigh."""
    speaker = drawings.speaker
    given = [one for one in speaker.plan.actions if one.kind in _CARDS and one.done is None]
    cards, watched = [], False
    for one in given:
        card = _dose_card(speaker, one, watched=watched)
        watched = watched or bool(card["watching"])
        cards.append(card)
    tubs = [speaker.waters[one.water].name if one.water else "" for one in given]
    return _page("dose-cards.html", drawings, _title(speaker, "doses"), tubs, size, cards=cards)


def has_doses(drawings: Drawings) -> bool:
    """Whether there is anything to make a card of."""
    return any(one.kind in _CARDS and one.done is None for one in drawings.speaker.plan.actions)


def _dose_card(speaker: Speaker, one: Action, *, watched: bool) -> dict[str, Any]:
    weighed, others = [], []
    substance = speaker.word(one.substance) if one.substance else speaker.say(f"kind.{one.kind}")
    for name, path in one.amounts.items():
        if path in speaker.plan.figures and speaker.plan.figures[path].unit in _WEIGHED and name not in _ASIDE:
            weighed.append((substance if name in _OF_THE_SUBSTANCE else speaker.word(name), path))
        elif name in _BESIDE:
            others.append((speaker.word(name), path))
    water = speaker.waters[one.water] if one.water else None
    injected = one.kind is Kind.INJECTION
    steps = speaker.listed("dose.step injection" if injected else "dose.step")
    if one.kind is Kind.DOSE and water and water.kind in {WaterKind.INDUCTION, WaterKind.DIP}:
        steps.append(speaker.say("dose.step before the fish"))
    use = one.words.get("use", "induction" if water and water.kind is WaterKind.INDUCTION else "")
    watching = "" if watched or one.kind is not Kind.DOSE else _watching(use)
    return {
        "action": one,
        "weighed": weighed,
        "others": others,
        "worked_out_for": [
            speaker.say("line.worked out for", quantity=speaker.word(name), end=speaker.word(end))
            for name, end in one.worked_out_for.items()
        ],
        "steps": steps,
        "lines": _brief(speaker, (speaker.judgements[path] for path in one.leads_to if path in speaker.judgements)),
        "watching": watching,
        "stages": use in _ASLEEP,
    }


def _watching(use: str) -> str:
    return "watching.sedation row" if use == _SEDATED else "watching.row" if use in _ASLEEP else ""


# -- for the file ---------------------------------------------------------------------------------------------------


def volume_page(drawings: Drawings, size: str = "A4") -> str:
    """The certificate of each volume that was found: every way, and what to use it for."""
    speaker = drawings.speaker
    tubs = [speaker.waters[one.water].name for one in speaker.plan.volumes]
    return _page("volume.html", drawings, _title(speaker, "volumes"), tubs, size)


def plan_page(drawings: Drawings, size: str = "A4") -> str:
    """The record: every judgement with its inputs and limit, every action, figure, reading, drawing and source."""
    speaker, plan = drawings.speaker, drawings.speaker.plan
    return _page(
        "plan.html",
        drawings,
        _title(speaker, "plan"),
        size=size,
        have_ready=have_lines(speaker),
        figures=_figures_shown(speaker),
        latest={one.id: _latest(one) for one in plan.waters},
        do_now=[speaker.actions[path] for path in plan.first_page.do_now],
        parts=[
            {
                "title": speaker.join(
                    (speaker.say(f"moment.{state.moment}"), speaker.say(f"readiness.{state.state}")), ": "
                ),
                "actions": [speaker.actions[path] for path in state.actions],
                "judgements": [speaker.judgements[path] for path in shown_judgements(plan, state)],
            }
            for state in plan.moments
        ],
        grids=[(path, _grid(speaker, grid)) for path, grid in plan.grids.items()],
    )


def _figures_shown(speaker: Speaker) -> list[str]:
    """The figures that are acted on or judged, in the order of the record."""
    plan = speaker.plan
    used = {path for one in plan.actions for path in one.amounts.values()}
    used |= {path for one in plan.judgements for path in (one.figure, one.until_harm) if path}
    shown = {path for state in plan.moments for path in shown_judgements(plan, state)}
    used -= {one.figure for one in plan.judgements if one.id not in shown and one.figure}
    return [path for path in plan.figures if path in used]


# -- what they share --------------------------------------------------------------------------------------------------


def _title(speaker: Speaker, paper: str) -> str:
    patients = [speaker.name(one.id) for one in speaker.plan.fish if one.patient]
    waters = [speaker.name(speaker.plan.waters[0].id)] if speaker.plan.waters else []
    return speaker.say(f"paper.{paper}", fish=speaker.join(patients or waters, ", "))


def _who(speaker: Speaker) -> str:
    """Who stands at the top of each sheet: the patients, else the first water."""
    patients = [
        speaker.join((speaker.name(one.id), speaker.word(one.species) if one.name else ""), ", ")
        for one in speaker.plan.fish
        if one.patient
    ]
    return speaker.join(patients) if patients else _title(speaker, "plan")


def _page(name: str, drawings: Drawings, title: str, tubs: Iterable[str] = (), size: str = "A4", **more: Any) -> str:
    speaker = drawings.speaker
    return (
        _templates()
        .get_template(name)
        .render(
            s=speaker,
            plan=speaker.plan,
            drawings=drawings,
            heading=heading(speaker),
            title=title,
            who=_who(speaker),
            tubs=list(tubs),
            size=size,
            action=lambda one: action_line(speaker, one),
            judgement=lambda one: judgement_words(speaker, one),
            judgement_line=lambda one: judgement_line(speaker, one),
            measure=lambda one: measure_line(speaker, one),
            cautions=lambda one: cautions(speaker, one),
            titles=lambda paths: [speaker.title(path) for path in paths],
            names=lambda paths: [speaker.name(path) for path in paths],
            words_of=lambda words: [speaker.word(word) for word in words],
            came_from=lambda value: speaker.path(value) if value in speaker.plan.rows else speaker.word(value),
            hangs=lambda path: hangs_on(speaker, path),
            **more,
        )
    )


@cache
def _templates() -> Environment:
    made = Environment(
        loader=PackageLoader("waterplan", "papers/pages"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {"css": _css, "capital": capital}
    return made


def _css(text: str) -> str:
    """A text as the inside of a string of a style sheet."""
    plain = Markup(text).striptags() if isinstance(text, Markup) else str(text)
    kept = (sign if sign.isascii() and sign.isalnum() else f"\\{ord(sign):x} " for sign in plain)
    return Markup("".join(kept))
