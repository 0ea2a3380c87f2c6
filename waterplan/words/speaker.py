"""A plan put into words: its figures, limits, names, times and reasons, for plain text or for HTML."""

from collections.abc import Iterable, Mapping
from contextlib import suppress
from datetime import datetime
from functools import cache
from typing import Any
from unicodedata import bidirectional

from markupsafe import Markup, escape

from waterplan import tables
from waterplan.actions.record import Action
from waterplan.hazards.record import Hazard, Judgement, Limit, Measure, Side, Why
from waterplan.plan.record import MeasureNext, Plan
from waterplan.stay.record import ActEnd, Figure, Fish, Water
from waterplan.units import System
from waterplan.words import numbers
from waterplan.words.catalogue import language

_DEGREES = "°C"
# Where a plain word of a record is looked for in the book.
_WORDS = (
    *("word", "substance", "quantity", "species", "which", "origin", "state", "kind", "hazard", "end", "rule", "input"),
    *("verdict", "status", "kit", "disease"),
)
# The units of what is weighed, poured or blown in.
_AMOUNTS = frozenset({"g", "kg", "mg", "mL", "uL", "L", "L/min"})
# The last part of the path of a judgement that was made again after the actions.
_AGAIN = frozenset({"after", "before"})
# As far as an end of a band may be from the round number that is acted on in its place: that stands in the band too.
_ROUNDED = 1.05
# A name longer than this is said by its beginning and its end; the record has it whole, in the case as it was written.
_LONGEST_NAME, _BEGINS, _ENDS = 60, 40, 18
# What a right-to-left text is closed in where no page does it, so that a figure beside it keeps its place.
_ISOLATE, _END_OF_IT = "\u2068", "\u2069"
_RIGHT_TO_LEFT = frozenset({"R", "AL", "AN"})
# The part of such a path that says when.
_STRETCHES = frozenset({"call", "home", "journey", "induction", "irrigation", "revival", "stay", "dip"})


class Speaker:
    """Says what stands in a plan, in the words of one phrase book and the units of one reader.

    With `marked`, texts are HTML: a number with a unit stands in a span that names its figure, row or line of the case.
    """

    def __init__(self, plan: Plan, units: System | str = System.METRIC, *, marked: bool = False) -> None:
        self.plan = plan
        self.system = System(units)
        self.book = language()
        self.marked = marked
        self.waters: Mapping[str, Water] = {one.id: one for one in plan.waters}
        self.fish: Mapping[str, Fish] = {one.id: one for one in plan.fish}
        # What only the last plan had can still be named.
        judged, done = (plan.changes.judgements, plan.changes.actions) if plan.changes else ((), ())
        self.judgements: Mapping[str, Judgement] = {one.id: one for one in (*judged, *plan.judgements)}
        self.actions: Mapping[str, Action] = {one.id: one for one in (*done, *plan.actions)}

    # -- phrases ----------------------------------------------------------------------------------------------------

    def say(self, key: str, /, **values: Any) -> str:
        """A phrase of the book with its values; marked where this speaker's texts are HTML."""
        text = self.book.say(key, marked=self.marked, **{**values, "row": self.of_row})
        return Markup(text) if self.marked else text

    def listed(self, prefix: str, **values: Any) -> list[str]:
        """All phrases under a prefix, in the order of the book."""
        return [self.say(key, **values) for key in self.book if key.startswith(f"{prefix}.")]

    def join(self, texts: Iterable[str], by: str = "; ") -> str:
        """Several texts in one line."""
        kept = [text for text in texts if text]
        return Markup(by).join(kept) if self.marked else by.join(kept)

    def carries(self, text: str, of: str, path: str) -> str:
        """A text that carries what it is: `of` is `figure`, `row`, `case` or `step`; plain text and no text carry nothing."""
        if not self.marked or not text:
            return text
        return Markup(f'<span data-{of}="{escape(path)}">{escape(text)}</span>')

    def row(self, text: str, row: str) -> str:
        """A number of a table's row, as the row has it."""
        return self.carries(text, "row", _whole_path(row))

    def of_row(self, text: str, row: str) -> str:
        """A number of a row as a phrase says it; degrees, of a thermometer or of a step, in the reader's units."""
        number, unit = text.partition(" ")[::2]
        if unit != _DEGREES or self.system is not System.US:
            return self.row(text, row)
        found = tables.by_id(row)
        step = found is not None and found.unit == f"{_DEGREES} step"
        return self.row(self.amount(float(number), f"{unit} step" if step else unit), row)

    def case(self, text: str, place: str) -> str:
        """Something that the case says, as it was written."""
        if not self.marked and any(bidirectional(sign) in _RIGHT_TO_LEFT for sign in text):
            return f"{_ISOLATE}{text}{_END_OF_IT}"
        return self.carries(text, "case", place)

    # -- numbers ----------------------------------------------------------------------------------------------------

    def figure(self, path: str) -> str:
        """The number to act by, with its unit: the same text wherever the figure is printed."""
        found = self.plan.figures.get(path)
        if found is None:
            return self.say("figure.not known")
        if found.act_on is None:
            key = "never" if found.unit in numbers.MINUTES else "without limit"
            return self.carries(self.say(f"figure.{key}"), "figure", path)
        if found.act_on == 0.0 and "/until-" in path:
            return self.carries(self.say("figure.at once"), "figure", path)
        text = self.carries(self.amount(found.act_on, found.unit, found.act_end), "figure", path)
        return Markup(f'<span class="memory">{text}</span>') if self._from_memory(found) else text

    def _from_memory(self, figure: Figure) -> bool:
        """Whether it is an amount that rests on a row from memory: that is marked beside it where pages are marked."""
        rows = (self.plan.rows[row] for row in figure.rows if row in self.plan.rows)
        return self.marked and figure.unit in _AMOUNTS and any(row.status == "from memory" for row in rows)

    def band(self, path: str) -> str:
        """The low and high end of a figure, in the unit that the figure is read in; "" where it has no band."""
        found = self.plan.figures.get(path)
        if found is None or found.low is None or found.low == found.high:
            return ""
        low, high, act_on = found.low, found.high, found.act_on or 0.0
        low = act_on if low / _ROUNDED <= act_on < low else low
        high = act_on if high is not None and high < act_on <= _ROUNDED * high else high
        least = self.bare(low, found.unit, found.act_on, ActEnd.LOW)
        most = self.bare(high, found.unit, found.act_on, ActEnd.HIGH)
        key = "figure.band" if high is not None else "figure.band open"
        return self.carries(self.say(key, low=least, high=most), "band", path) if least != most else ""

    def with_band(self, path: str) -> str:
        """The number to act by and its band behind it."""
        band = self.band(path)
        return self.say("figure.with band", figure=self.figure(path), band=band) if band else self.figure(path)

    def limit(self, limit: Limit | None) -> str:
        """A limit with its side, carrying its row; "" where there is none or it has no value."""
        if limit is None or limit.value is None:
            return ""
        end = ActEnd.LOW if limit.side is Side.AT_MOST else ActEnd.HIGH
        value = self.printed(limit.value, limit.unit, limit.row, end)
        upper = self.printed(limit.upper, limit.unit, limit.row, ActEnd.LOW) if limit.upper is not None else ""
        return self.say(f"side.{limit.side}", value=value, upper=upper)

    def printed(self, value: float, unit: str, row: str, end: ActEnd = ActEnd.BEST) -> str:
        """A number of a table's row to three digits, a limit's to its strict side; it carries the row."""
        return self.row(self.amount(float(numbers.rounded(value, end)), unit, end), row)

    def amount(self, value: float, unit: str, end: ActEnd = ActEnd.BEST, *, like: float | None = None) -> str:
        """A value with its unit, in the reader's units; it carries nothing."""
        if unit == "h" and value != int(value):
            value, unit, like = float(int(numbers.rounded(60.0 * value, end))), "min", None
        if unit == "min" and (clock := numbers.clock_time(value, like=like)):
            hours, minutes = clock.split(":")
            return self.say("unit.h min" if int(minutes) else "unit.whole h", h=hours, m=str(int(minutes)))
        number, label = numbers.read_in(value, unit, self.system, end=end, like=like)
        return self.join((numbers.plain(numbers.at_most_three_digits(number, end)), self.unit(label)), " ")

    def bare(self, value: float | None, unit: str, like: float | None, end: ActEnd = ActEnd.BEST) -> str:
        """A value in the reader's units without its unit; "" where it is infinite."""
        if value is None:
            return ""
        if unit == "h" and like is not None and like != int(like):
            value, unit, like = 60.0 * value, "min", float(int(60.0 * like))
        if unit == "min" and (clock := numbers.clock_time(value, like=like)):
            return clock
        number, _ = numbers.read_in(value, unit, self.system, end=end, like=like)
        beside = None if like is None else numbers.read_in(like, unit, self.system, like=like)[0]
        return numbers.plain(numbers.rounded_as(number, beside, end))

    def unit(self, label: str) -> str:
        """A unit as it is written."""
        return self.say(f"unit.{label}") if f"unit.{label}" in self.book else label

    def amount_unit(self, unit: str) -> str:
        """The reader's name of a unit of the record."""
        return self.unit(numbers.read_in(1.0, unit, self.system, like=200.0)[1])

    # -- names ------------------------------------------------------------------------------------------------------

    def reading(self, one: Measure | MeasureNext) -> dict[str, str]:
        """What is to be measured: the quantity, in which water, with what."""
        both = f"{one.measured_with} for {one.quantity}"
        tool, water = self.word(both if self._key(both) else one.measured_with), self.name(one.water, article=True)
        return {"quantity": self.word(one.quantity), "water": water, "with": tool}

    def each_reading(self, quantities: Iterable[str]) -> list[str]:
        """The names of what is to be read; what is read once more at its worst hour is read now too, and says so."""
        said = list(dict.fromkeys(map(self.word, quantities)))
        again = [any(one in other for other in said if other != one) for one in said]
        return [self.say("measure.now", what=one) if twice else one for one, twice in zip(said, again, strict=True)]

    def name(self, path: str, *, article: bool = False) -> str:
        """What a person calls a water or a fish of the plan."""
        if path in self.waters:
            water = self.waters[path]
            said = self._short(water.name) or self.say(f"source.{water.of}" if water.of else f"water.{water.kind}")
            alike = [one.id for one in self.waters.values() if one.kind is water.kind and not (one.name or one.of)]
            if path in alike and len(alike) > 1:  # two bags on one journey
                said = self.join((said, str(alike.index(path) + 1)), " ")
            name = self.case(said, path) if water.name else said
            return self.say("water.the", name=name) if article and not said[:1].isupper() else name
        if path in self.fish:
            fish = self.fish[path]
            if fish.name:
                return self.case(self._short(fish.name), path)
            return self.say("water.the", name=self.word(fish.species)) if article else self.word(fish.species)
        return self.word(path)

    def _short(self, name: str) -> str:
        """A name that fits a line; whole where another would read the same."""
        if len(name) <= _LONGEST_NAME:
            return name
        begins, ends = name[:_BEGINS], name[-_ENDS:]
        names = {water.name for water in self.waters.values()} | {fish.name for fish in self.fish.values()}
        alike = [one for one in names if one.startswith(begins) and one.endswith(ends)]
        return name if len(alike) > 1 else f"{begins}…{ends}"

    def word(self, value: str) -> str:
        """A word of a record: the name behind a path, a time, a word of the book; else the case's own text."""
        if (named := self._named(value)) is not None:
            return named
        if key := self._key(value):
            return self.say(key)
        what, _, of = value.rpartition(" of ")
        if what and (self._named(of) or (self._key(what) and self._key(of))):
            return self.say("input.of", what=self.word(what), of=self.word(of))
        if ", " in value and all(self._key(one) or self._named(one) for one in value.split(", ")):
            return self.words(value.split(", "))
        with suppress(ValueError):
            if "T" in value:
                return self.clock(datetime.fromisoformat(value))
        own = " " in value or "/" not in value
        what, _, number = value.rpartition("-")
        numbered = number.isdecimal() and bool(self._key(what))  # a bucket, which is no water of the plan
        return self.case(value, "words") if own and not numbered else self._of_no_water(value)

    def _of_no_water(self, path: str) -> str:
        """The name of an input that belongs to no water of the plan, by the parts of its path."""
        return self.join(map(self.which, path.split("/")), ", ")

    def words(self, values: Iterable[str]) -> str:
        """Several words of a record."""
        return self.join(map(self.word, values), ", ")

    def _word_of(self, name: str, value: str) -> str:
        """A word of a reason: of what its name says, where the book has a section of that name."""
        return self.say(key) if (key := f"{name}.{value}") in self.book else self.word(value)

    def _key(self, value: str) -> str:
        """The key of the phrase that names a plain word; "" where the book has none."""
        plain = (value, value.replace("_", " "), value.replace("-", " "))
        return next((key for section in _WORDS for one in plain if (key := f"{section}.{one}") in self.book), "")

    def _named(self, value: str) -> str | None:
        """The name behind a path of the plan; None where it is no such path."""
        if value in self.waters or value in self.fish:
            return self.name(value, article=True)
        if value in self.actions or value in self.judgements:
            return self.title(value)
        head, of_it, _ = value.partition("/")
        return self.figure_name(value) if of_it and (head in self.waters or head in self.fish) else None

    def path(self, value: str) -> str:
        """An identity as it stands in the record."""
        return Markup("<code>{}</code>").format(value) if self.marked else value

    def title(self, path: str) -> str:
        """What a judgement or an action is called."""
        if path in self.judgements:
            one = self.judgements[path]
            return self.say("judgement.title", hazard=self.hazard(one), water=self.name(one.water, article=True))
        if path in self.actions:
            action = self.actions[path]
            return self.say(f"title.{action.kind}", needed="needed" in action.amounts, **self.named_by(action))
        return self.path(path)

    def titles(self, paths: Iterable[str]) -> str:
        """What judgements and actions are called, each once."""
        return "; ".join(dict.fromkeys(self.title(one) for one in paths))

    def named_by(self, action: Action) -> dict[str, str]:
        """What an action names: its words, its water, its source and its substance."""
        return {variable(name): self.word(text) for name, text in action.words.items()} | {
            "water": self.name(action.water, article=True) if action.water else "",
            "source": self.word(action.source) if action.source else "",
            "substance": self.word(action.substance) if action.substance else "",
        }

    def answered(self, action: Action) -> list[Judgement]:
        """The judgements that an action answers."""
        return [self.judgements[path] for path in action.answers if path in self.judgements]

    def hazard(self, one: Judgement, *, when: bool = True) -> str:
        """What a judgement looks at: its hazard, of which part, and over which stretch unless `when` is known, by its path."""
        parts = [part for part in one.id.split("/")[2:] if part not in _AGAIN]
        if one.hazard is Hazard.CONFLICT:  # the reason behind it says the rule
            parts = [part for part in parts if f"which.{part}" in self.book]
        own = [part for part in parts if part not in _STRETCHES]
        named = next((part for part in own if f"hazard.{one.hazard} {part}" in self.book), "")
        hazard = self.say(f"hazard.{one.hazard} {named}" if named else f"hazard.{one.hazard}")
        which = [self.which(part) for part in own if part != named]
        if which and f"hazard.{one.hazard} of" in self.book:
            hazard, which = self.say(f"hazard.{one.hazard} of", which=self.join(which, ", ")), []
        which += [self.which(part) for part in parts if part in _STRETCHES and when]
        return self.say("judgement.hazard", hazard=hazard, which=self.join(which, ", "))

    def which(self, part: str) -> str:
        """A part of a path behind its quantity."""
        spaced, number = part.replace("-", " "), part.rpartition("-")[2]
        if number.isdecimal() and number != part:
            return self.join((self.which(part.removesuffix(f"-{number}")), number), " ")
        for key in (f"which.{part}", self._key(part), f"which.{spaced}", self._key(spaced)):
            if key in self.book:
                return self.say(key)
        return self.say("which.reason") if f"why.{part}" in self.book else self.word(spaced)

    def figure_name(self, path: str) -> str:
        """What a figure is called: of which water or fish, which quantity, and which value of it."""
        of, which = self.figure_names(path)
        return self.join((of, which), ", ")

    def figure_names(self, path: str) -> tuple[str, str]:
        """The two halves of that: of which water or fish which quantity, and which value of it."""
        of, *rest = path.split("/")
        if of not in self.waters and of not in self.fish:
            of, rest = "", [of, *rest]
        quantity, *which = rest or [""]
        named = self.say("figure.named", of=self.name(of) if of else "", quantity=self.word(quantity))
        return named, self.join(map(self.which, which), ", ")

    # -- times and reasons ------------------------------------------------------------------------------------------

    def clock(self, when: datetime | None, form: str = "moment") -> str:
        """A time with its day, as `date`, `moment` or `full` (with the year)."""
        if when is None:
            return ""
        return self.say(
            f"time.{form}",
            weekday=self.say(f"time.weekday.{when.isoweekday()}"),
            day=when.day,
            month=self.say(f"time.month.{when.month}"),
            year=when.year,
            clock=f"{when:%H:%M}",
        )

    def why(self, reason: Why, *alike: Why) -> str:
        """A reason in a sentence; with it others of its code, where the book says them together."""
        key, together = f"why.{reason.code}", f"together.{reason.code}"
        if key not in self.book:
            return self.say("why.no phrase", code=reason.code)
        said = self.join(dict.fromkeys(self.say(key, **self._values(one)) for one in (reason, *alike)), "; ")
        return capital(self.say(together, list=said) if together in self.book else said)

    def _values(self, reason: Why) -> dict[str, str]:
        values = {variable(name): self._word_of(name, text) for name, text in reason.words.items()}
        for name, path in reason.figures.items():
            values[variable(f"{name} figure" if name in reason.words else name)] = self.figure(path)
        return values

    def sentences(self, reasons: Iterable[Why]) -> list[str]:
        """Several reasons, a sentence each and each once; those that the book says together are one."""
        found: dict[object, list[Why]] = {}
        for n, one in enumerate(reasons):
            found.setdefault(one.code if f"together.{one.code}" in self.book else n, []).append(one)
        return list(dict.fromkeys(self.why(*alike) for alike in found.values()))

    def reasons(self, reasons: Iterable[Why]) -> str:
        """Several reasons, a sentence each."""
        return self.join(self.sentences(reasons), " ")


def capital(text: str) -> str:
    """A text with a capital at its beginning, its marks left alone."""
    plain = str(text)
    if plain.startswith(("pH", "<")):
        return text
    return type(text)(plain[:1].upper() + plain[1:])


def variable(name: str) -> str:
    """The name by which a phrase uses an amount or a word."""
    return name.replace(" ", "_").replace("-", "_")


@cache
def _whole_path(row: str) -> str:
    """The path of a row of which the first names were given, as a rule of the conflicts is."""
    found = tables.by_id(row)
    return row if found is None else found.id
