"""The drawings of a plan, in the reader's units and words: each made once for a set of papers."""

import math
from collections.abc import Sequence
from functools import cached_property

from waterplan.actions.record import Action
from waterplan.charts.above import plan_view, pond_chart
from waterplan.charts.course import clock_chart, course_chart
from waterplan.charts.dose import box_size, boxes_chart, syringe_chart, syringe_ml
from waterplan.charts.grammar import Chart
from waterplan.charts.style import EMERGENCY, svg
from waterplan.plan.record import Plan, VolumeFound
from waterplan.stay.record import Series
from waterplan.words import numbers
from waterplan.words.lines import amount_name
from waterplan.words.speaker import Speaker

# Drawn at the size they are printed at [CSS px]: two side by side on a sheet of A4, and one on a card of half its size.
_WIDTH, _HEIGHT, _ON_A_CARD = 332, 104, 430
# What the axes of a drawing to scale take of its width.
_AXIS, _POND = 72, 400
_IN_BOXES = frozenset({"g", "kg", "mg", "mL"})
_WEIGHED = _IN_BOXES | {"uL"}
# Of a mixture's making, or of who gets it.
_ASIDE = frozenset({"given", "division", "vial", "bottle", "weigh", "diluent", "make up to", "weight"})
_POWER_OFF = "power off"
# From light to dark, so that they read in grey.
_STAGES = {"until-alarm": "#b0702f", "until-emergency": EMERGENCY}


def air_off(plan: Plan, water: str) -> dict[str, str]:
    """The figures of a water's clock from when its air stops, by stage: `until-alarm`, `until-emergency`.

    Where there is a clock without power it counts, once all that is ordered is done, as in the plan's own line. A box has
    none: of its clocks before and after what is ordered the shorter, which is that without air.
    """
    of = f"{water}/oxygen/"
    paths = [path for path, one in plan.figures.items() if path.startswith(of) and one.unit in numbers.MINUTES]
    off = [path for path in paths if _POWER_OFF in path.split("/") and f"{path}/after" not in plan.figures]
    of_stage = {stage: [path for path in off or paths if stage in path] for stage in _STAGES}
    return {stage: min(found, key=lambda path: minutes(plan, path)) for stage, found in of_stage.items() if found}


def weighed(plan: Plan, action: Action) -> list[str]:
    """The names of the amounts of an action that are weighed or drawn up for its water or its fish."""
    figures = plan.figures
    return [
        name
        for name, path in action.amounts.items()
        if path in figures and figures[path].unit in _WEIGHED and name not in _ASIDE
    ]


def minutes(plan: Plan, path: str) -> float:
    """What a clock shows, in minutes; infinite where it never runs out, or is none."""
    figure = plan.figures.get(path)
    return math.inf if figure is None or figure.act_on is None else figure.act_on * numbers.MINUTES[figure.unit]


class Drawings:
    """All drawings of one plan for one speaker, as SVG that may stand in HTML."""

    def __init__(self, speaker: Speaker) -> None:
        self.speaker = speaker
        # Inside a drawing nothing can carry a mark: its words are plain.
        self._plain = Speaker(speaker.plan, speaker.system)
        self._plan = speaker.plan
        self._courses: dict[str, str] = {}

    def drawn(self, path: str) -> str:
        """A series of the plan by its path, drawn once."""
        if path not in self._courses:
            self._courses[path] = svg(self.course(self._plan.series[path], width=_WIDTH, height=_HEIGHT))
        return self._courses[path]

    @cached_property
    def outlines(self) -> dict[str, str]:
        """Each measured water from above, with its soundings or with the first patient at its length."""
        return {
            one.water: svg(self.pond(one) if one.soundings_m else self._outline(one))
            for one in self._plan.volumes
            if len(one.outline_m) > 2
        }

    def of(self, water: str, *, planned: bool, quantities: frozenset[str] | None = None) -> list[str]:
        """The courses of a water: as planned, or as they would be after a failure."""
        return [
            self.drawn(path)
            for path, one in self._plan.series.items()
            if one.water == water and one.as_planned is planned and (quantities is None or one.quantity in quantities)
        ]

    def dose(self, path: str) -> list[str]:
        """The amounts of an action as boxes, where it has any; a card has no room for the syringe."""
        return [svg(chart) for chart in self.dose_charts(path, width=_ON_A_CARD)[:1]]

    def dose_charts(self, path: str, *, width: int) -> list[Chart]:
        """The amounts of an action as boxes, and a draw in its syringe, as charts of a width [pixels]."""
        action, figures = self._plain.actions[path], self._plan.figures
        names = weighed(self._plan, action)
        rows = []
        for name in names:
            whole, parts = figures[action.amounts[name]], action.part_amounts.get(name, ())
            # What is weighed at one time, where that is the same each time.
            value = parts[0] if len(set(parts)) == 1 else whole.act_on
            if value and whole.unit in _IN_BOXES:
                said = self._plain.amount(value, whole.unit)
                if len(names) > 1:  # else it is the one that the card begins with
                    said = self._plain.say("dose.weigh", figure=said, what=amount_name(self._plain, action, name))
                rows.append((value, whole.unit, said))
        boxes = [self._boxes(*row) for row in rows]
        # One volume stands on a card: that which the amount was worked out for, where it says one.
        told = (figures[path] for path in action.amounts.values() if path in figures)
        volume = figures.get(f"{action.water}/volume")
        litres = next((one.act_on for one in told if one.unit == "L"), None if volume is None else volume.best)
        if rows and litres:
            boxes.append(self._boxes(litres, "L", self._plain.amount(litres, "L")))
        charts = [boxes_chart(boxes, width=width)] if boxes else []
        for value, unit, _ in rows:
            if unit == "mL" and (size := syringe_ml(value)):
                under = self._plain.say("chart.syringe", size=self._plain.amount(size, unit))
                charts.append(syringe_chart(value, size, axis_title=under, width=width))
        return charts

    def _boxes(self, value: float, unit: str, said: str) -> tuple[str, str, float, bool]:
        read, label = numbers.read_in(value, unit, self._plain.system)
        size = box_size(float(read))
        each = self._plain.say("chart.each box", size=f"{numbers.plain(size)} {self._plain.unit(label)}")
        return said, each, float(read) / size, unit in {"L", "mL"}

    def _values(self, values: Sequence[float], unit: str) -> tuple[list[float], str]:
        """Values in the reader's unit, and that unit as it is written."""
        largest = max(map(abs, values), default=0.0)
        read = [numbers.read_in(value, unit, self._plain.system, like=largest) for value in values]
        return [float(number) for number, _ in read], self._plain.unit(read[0][1]) if read else unit

    def _axis(self, words: str, unit: str) -> str:
        return self._plain.say("chart.axis", words=words, unit=unit) if unit else words

    def course(self, one: Series, *, over: Series | None = None, **size: int | str) -> Chart:
        """A series in the reader's unit and words, of a width and a height; `over` it another course of the same."""
        read = self._read(one)
        say, quantity = self._plain.say, self._plain.word(one.quantity)
        water = self._plain.name(one.water, article=True)
        title = "chart.otherwise" if over else "chart.course" if one.as_planned else "chart.falling"
        return course_chart(
            read,
            title=say(title, quantity=quantity, water=water),
            value_title=self._axis(quantity, read.unit),
            time_title="" if one.start and one.as_planned else say("chart.time"),
            limit_words=say("chart.limit"),
            over=self._read(over) if over else None,
            **size,
        )

    def _read(self, one: Series) -> Series:
        """A series in the reader's unit."""
        limit = () if one.limit is None else (one.limit,)
        read, unit = self._values([*one.low, *one.best, *one.high, *limit], one.unit)
        n = len(one.hours)
        values = {
            "low": read[:n],
            "best": read[n : 2 * n],
            "high": read[2 * n : 3 * n],
            "limit": read[3 * n] if limit else None,
            "unit": unit,
        }
        return one.model_copy(update=values)

    def clock(self, water: str) -> str:
        """The clock of a water whose oxygen falls when its air stops; "" of any other."""
        say = self._plain.say
        figures = [(stage, self._plan.figures[path]) for stage, path in air_off(self._plan, water).items()]
        stages = [
            (say(f"chart.{stage}"), one.act_on * numbers.MINUTES[one.unit], _STAGES[stage])
            for stage, one in figures
            if one.act_on is not None
        ]
        if not stages:
            return ""
        chart = clock_chart(
            sorted(stages, key=lambda stage: stage[1]),
            title=say("chart.clock", water=self._plain.name(water, article=True)),
            minutes_title=say("chart.minutes"),
            hours_title=say("chart.hours"),
            width=_WIDTH - _AXIS // 2,
        )
        return svg(chart)

    def pond(self, one: VolumeFound, *, width: int = _POND, tallest: int = 240) -> Chart:
        """A sounded water from above, with its depths; `one` has a shore."""
        factor, unit = self._metres(one)
        title = self._axis(self._plain.word("depth"), unit)
        return pond_chart(one, factor=factor, unit=unit, depth_title=title, width=width, tallest=tallest)

    def _outline(self, one: VolumeFound) -> Chart:
        lengths = [fish.length for fish in self._plan.fish if fish.patient and fish.length]
        cm = self._plan.figures[lengths[0]].best if lengths else None
        factor, unit = self._metres(one)
        return plan_view(
            one.outline_m,
            cm / 100.0 if cm else None,
            title=self._plain.say("chart.outline", water=self._plain.name(one.water, article=True)),
            axis_title=self._axis(self._plain.word("length"), unit),
            factor=factor,
            width=_WIDTH - _AXIS,
        )

    def _metres(self, one: VolumeFound) -> tuple[float, str]:
        """From metres to the unit that a shore of this size is read in, and that unit as it is written."""
        size = max(max(point) for point in one.outline_m)
        read, label = numbers.read_in(1.0, "m", self._plain.system, like=max(size, 1.0))
        return float(read), self._plain.unit(label)
