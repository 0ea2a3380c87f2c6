"""stub."""

from dataclasses import dataclass

import numpy as np

from waterplan.case.schema import Shape
from waterplan.stay.record import Origin
from waterplan.stay.state import Known


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    litres: Known
    surface_m2: object = None
    depth_m: object = None
    wall_m2: object = None
    guessed: bool = False
    record: object = None
    salt_added_g: object = None

    @classmethod
    def of_litres(cls, litres, *, water):
        return cls(litres=litres)


def find_volume(case, inputs, figures, *, water, vessel, progress=None):
    body = vessel.body if vessel else (case.home_pond.body if case.home_pond else None)
    if body is None:
        return Found(
            litres=Known(
                draws=np.full(inputs.size, 5000.0), origin=Origin.ASSUMED, assumed=frozenset({water + "/volume"})
            )
        )
    if body.volume is not None:
        l = inputs.of_reading(f"{water}/volume", body.volume)
        a = None
        d = None
    else:
        d = inputs.of_reading(f"{water}/depth", body.depth)
        if body.shape is Shape.ROUND:
            a = np.pi / 4 * inputs.of_reading(f"{water}/diameter", body.diameter) ** 2
        else:
            a = inputs.of_reading(f"{water}/length", body.length) * inputs.of_reading(f"{water}/width", body.width)
        l = a * d * 1000
    figures.put(f"{water}/volume", l, unit="L")
    return Found(litres=Known(draws=l, origin=Origin.MEASURED), surface_m2=a, depth_m=d)
