"""A water measured by what went into it or out of it: salt, a timed or metered fill, a fall of its level."""

from collections.abc import Iterator
from enum import StrEnum
from typing import Annotated, ClassVar, Literal

from waterplan.case.kinds import Number, OneOf
from waterplan.case.measures import litres, measure, size
from waterplan.case.part import Fault
from waterplan.case.values import Reading
from waterplan.case.volume.measurement import By, Hung, Stood, Surfaced
from waterplan.case.volume.rows import Rows, Table
from waterplan.units import Family


class Reads(StrEnum):
    """What a tracer test reads, in which unit."""

    MS = "conductivity at 25 °C in mS/cm"
    US = "conductivity at 25 °C in µS/cm"
    CHLORIDE = "chloride in mg/L"
    SALINITY = "salinity in g/L"


class Tracer(Surfaced):
    """Salt weighed in, and what the water read before and after."""

    pairs: ClassVar[tuple[tuple[str, str], ...]] = (("bucket_salt", "bucket"), ("top_up", "top_up_reads"))
    by: Literal[By.TRACER]
    """how it was measured: `tracer`"""
    salt: Annotated[Reading, measure(Family.MASS, "tracer_salt_kg", "salt weight")]
    """salt weighed in: `2.5 kg, scales`"""
    reads: Annotated[Reads, OneOf(Reads, needed=True)]
    """what was read before and after, and its unit: `salinity in g/L`"""
    reads_to: Annotated[float, Number()]
    """each reading is good to ± this, in the unit of the readings: `0.005`"""
    before: Annotated[Table, Rows()]
    """place, and the reading before the salt: `inlet 0.412`"""
    after: Annotated[Table, Rows()]
    """place, hours since the salt, and the reading: `inlet 4 0.678`"""
    purity: Annotated[Reading | None, measure(Family.SHARE, "purity_percent", "purity")] = None
    """sodium chloride in the salt: `99.5 %`"""
    bucket: Annotated[Reading | None, litres("bucket_l")] = None
    """water in the bucket: `10 ± 0.1 L`"""
    bucket_salt: Annotated[Table, Rows()] = ()
    """grams of salt in the bucket, counted up from 0, and the reading: `5 1.34`"""
    top_up: Annotated[Reading | None, litres("added_l")] = None
    """water added between the readings: `120 L`"""
    top_up_reads: Annotated[float | None, Number()] = None
    """what the added water reads: `0.35`"""

    def faults(self) -> Iterator[Fault]:
        """How much of the salt is sodium chloride must be known once."""
        yield from super().faults()
        if not self.bucket_salt and self.purity is None:
            say = "say how much of the salt is sodium chloride, or give a bucket test of the salt itself"
            yield Fault("purity", "nothing", say)
        if self.bucket_salt and self.purity is not None:
            yield Fault("purity", "given with a bucket test", "leave it out: the bucket test has it in")


class TimedFill(Hung, Surfaced):
    """How long the filling took, at a flow timed with a bucket."""

    by: Literal[By.TIMED]
    """how it was measured: `timed fill`"""
    bucket: Annotated[Reading, litres("bucket_l")]
    """water in the bucket: `10 ± 0.1 L`"""
    seconds: Annotated[Table, Rows()]
    """seconds to fill the bucket, one filling to a line: `41`"""
    fill_time: Annotated[Reading, measure(Family.DURATION, "fill_min", "time")]
    """how long the filling took: `2.5 h`"""


class Meter(Hung, Surfaced):
    """A water meter before and after the filling."""

    by: Literal[By.METER]
    """how it was measured: `meter`"""
    meter_before: Annotated[Reading, litres("meter_before_l")]
    """water meter before: `18240 L`"""
    meter_after: Annotated[Reading, litres("meter_after_l")]
    """water meter after: `26910 L`"""


class DrawDown(Stood):
    """Litres let out, and how far the level fell by it."""

    by: Literal[By.DRAWN]
    """how it was measured: `draw-down`"""
    drawn: Annotated[Reading, litres("drawn_l")]
    """water let out: `300 ± 10 L`"""
    fall: Annotated[Reading, size("level_fall_m")]
    """how far the level fell by it: `3.5 ± 0.2 cm`"""
    mean_depth: Annotated[Reading, size("mean_depth_m")]
    """mean depth before: `0.8 m`"""

    @property
    def area_is_known(self) -> bool:
        """The litres of a centimetre give it."""
        return True
