"""Which keys of `[[volumes]]` go with which way of measuring."""

from collections.abc import Iterator, Mapping, Set
from types import MappingProxyType

from waterplan.errors import ImpossibleInput, Mistake
from waterplan.first_plan.first_case.model import Measurement
from waterplan.first_plan.first_case.schema import VOLUME_KEYS, By
from waterplan.first_plan.first_case.shaping import SIZE_KEYS, sizes_needed

_ALWAYS = ("of", "by", "part", "takes_place")
_NEEDED: Mapping[By, tuple[str, ...]] = MappingProxyType(
    {
        By.SHAPE: ("plan", "profile", "made", "below_rim"),
        By.SOUNDINGS: ("unit", "outline", "soundings"),
        By.GRID: ("unit", "grid", "spacing", "edge"),
        By.LINES: ("unit", "lines", "spacing", "edge"),
        By.CONTOURS: ("unit", "contours"),
        By.TRACER: ("salt", "reads", "reads_to", "before", "after"),
        By.TIMED: ("bucket", "seconds", "fill_time"),
        By.METER: ("meter_before", "meter_after"),
        By.DRAWN: ("drawn", "fall", "mean_depth"),
    }
)
_STANDS_IN_IT = ("gravel_area", "gravel_depth", "rock", "fish")
_HANGS_ON_IT = ("filter_bodies", "pipe_length", "pipe_bore")
_LEVEL = ("level_fall",)
_SURVEY = (*_STANDS_IN_IT, *_HANGS_ON_IT, "folds", *_LEVEL)
_MAY: Mapping[By, tuple[str, ...]] = MappingProxyType(
    {
        By.SHAPE: ("unit", "outline", "shore", *SIZE_KEYS.values(), "shelves", *_SURVEY),
        By.SOUNDINGS: ("shore", "deepest", *_SURVEY),
        By.GRID: ("row_spacing", "wall_depth", "outline", "shore", "surface", *_SURVEY),
        By.LINES: ("wall_depth", "outline", "shore", "surface", *_SURVEY),
        By.CONTOURS: ("deepest", *_SURVEY),
        # A tracer has mixed into filters, pipes and gravel already; a filling went around what stood there.
        By.TRACER: ("purity", "bucket", "bucket_salt", "top_up", "top_up_reads", *_LEVEL, "surface"),
        By.TIMED: (*_HANGS_ON_IT, *_LEVEL, "surface"),
        By.METER: (*_HANGS_ON_IT, *_LEVEL, "surface"),
        By.DRAWN: (*_SURVEY,),
    }
)
_PAIRS = (
    ("gravel_area", "gravel_depth"),
    ("pipe_length", "pipe_bore"),
    ("bucket_salt", "bucket"),
    ("top_up", "top_up_reads"),
)


def keys_of(by: str) -> tuple[str, ...]:
    """The keys that go with a way of measuring, in the schema's order; the two that name it where it is not known."""
    if by not in tuple(By):
        return _ALWAYS
    goes = {*_ALWAYS, *_NEEDED[By(by)], *_MAY[By(by)]}
    return tuple(key for key in VOLUME_KEYS if key in goes)


def corrections_of(by: By) -> tuple[str, ...]:
    """The keys for what stands in the water, hangs on to it, or has changed since it was measured."""
    goes = {*_SURVEY, *({"surface"} if by in {By.TRACER, By.TIMED, By.METER} else ())}
    return tuple(key for key in keys_of(by) if key in goes)


def needed_of(by: By, words: Mapping[str, str]) -> tuple[str, ...]:
    """The keys that a way of measuring cannot do without; of a shape also the sizes, and what may stand for them."""
    if by is not By.SHAPE or not words:
        return _NEEDED[by]
    rows = {"shelves": (("",),)} if words.get("shelves") else {}
    chosen = {key: words[key] for key in ("plan", "profile") if words.get(key)}
    try:
        sizes = sizes_needed(Measurement(of="", by=by, words=chosen, rows=rows))
    except ImpossibleInput:
        sizes = ()
    liner = words.get("plan") == "rectangle" and words.get("profile", "").startswith("leaning")
    free = words.get("plan") == "free outline"
    more = ("unit", "shelves", "corner_radius", "floor_fall") if liner else ("unit", "outline", "shore") if free else ()
    wanted = {*_NEEDED[by], *sizes, *(more if sizes else ())}
    if liner and not rows:
        wanted -= {"corner_radius", "floor_fall"}
    return tuple(key for key in VOLUME_KEYS if key in wanted)


def faults(given: Measurement, where: str, told: Set[str]) -> tuple[Mistake, ...]:
    """What is missing, or does not go with the way of measuring; a key that was told of already is left alone."""
    found = {key for group in (given.readings, given.rows, given.words, given.numbers) for key in group}
    mistakes = [
        Mistake(where=f"{where}.{key}", read=read, would_do=would) for key, read, would in _faults(given, found)
    ]
    return tuple(mistake for mistake in mistakes if mistake.where not in told)


def _faults(given: Measurement, found: Set[str]) -> Iterator[tuple[str, str, str]]:
    by, goes = given.by, keys_of(given.by)
    for key in sorted(found - set(goes)):
        yield key, f"given with by = {by.value!r}", f"leave it out, or use another way; with it go {', '.join(goes)}"
    if "takes_place" in found and "part" not in found:
        yield "part", "nothing", "name the part that takes the place of water"
    for key in _NEEDED[by]:
        if key not in found:
            yield key, "nothing", f"{by} needs it"
    if {"outline", "shelves"} & found and "unit" not in found and "unit" in goes and "unit" not in _NEEDED[by]:
        yield "unit", "nothing", "say the unit of length of the rows: m, cm, mm, ft or in"
    for first, second in _PAIRS:
        if first in found and second not in found:
            yield second, "nothing", f"needed beside {first}"
    yield from _shape_faults(given, found) if by is By.SHAPE else ()
    if by is By.TRACER and "bucket_salt" not in found and "purity" not in found:
        yield (
            "purity",
            "nothing",
            "say how much of the salt is sodium chloride, or give a bucket test of the salt itself",
        )
    if by is By.TRACER and {"bucket_salt", "purity"} <= found:
        yield "purity", "given with a bucket test", "leave it out: the bucket test has it in"
    if given.words.get("edge", "").startswith("the water") and not {"outline", "surface"} & found:
        yield "surface", "nothing", "a wall needs the area of the water, or its outline"
    if given.words.get("edge", "").startswith("the water") and "wall_depth" not in found:
        yield "wall_depth", "nothing", "say how deep it is at the foot of the wall"
    has_area = by in {By.SHAPE, By.SOUNDINGS, By.CONTOURS, By.DRAWN} or {"outline", "surface"} & found
    if "level_fall" in found and not has_area:
        yield "surface", "nothing", "level_fall needs the area of the water's surface"


def _shape_faults(given: Measurement, found: Set[str]) -> Iterator[tuple[str, str, str]]:
    try:
        sizes = sizes_needed(given)
    except ImpossibleInput as error:
        yield "profile", f"{error.value}", f"use {error.limits}"
        return
    if not sizes:
        return
    outlined = "outline" in found and given.words["plan"] == "free outline"
    for key in sizes:
        if key not in found and not (key == "area" and outlined):
            yield key, "nothing", "this shape needs it"
    may = {*sizes, *(("corner_radius", "floor_fall") if "shelves" in found else ())}
    for key in sorted(found & set(SIZE_KEYS.values()) - may):
        yield key, "given", f"this shape takes {', '.join(sizes)}: leave it out"
