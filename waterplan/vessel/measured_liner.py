"""A liner pond from measured sizes to a volume with its error."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from waterplan.errors import ImpossibleInput
from waterplan.spread import Draws, Measured
from waterplan.vessel.forms import Form, cautions_of, water_in
from waterplan.vessel.liner import Shelf, liner_pond
from waterplan.vessel.solids import battered_volume_l, sloping_floor_volume_l
from waterplan.vessel.volume import Method, Reading, Volume

_NEEDED = frozenset({"length_m", "width_m", "brim_m"})
_POSSIBLE = _NEEDED | {"wall_slope", "corner_radius_m", "floor_fall_m"}


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredShelf:
    """A level ledge as it was measured; see `liner.Shelf`.

    Parameters
    ----------
    depth_m, width_m : Measured
        How far below the rim it lies, and how far it reaches into the pond [m].
    length_m : Measured, optional
        Its length along the wall where it does not go all round [m].
    """

    depth_m: Measured
    width_m: Measured
    length_m: Measured | None = None


def measured_liner_volume(
    *,
    sizes: Mapping[str, Measured],
    shelves: Sequence[MeasuredShelf] = (),
    freeboard_m: Measured,
    form: Form = Form.LINER,
    draws: Draws,
    name: str,
) -> Volume:
    """Volume of water in a liner pond from its measured sizes.

    Parameters
    ----------
    sizes : mapping of str to Measured
        `length_m`, `width_m` and `brim_m`; where there are any, `wall_slope`, `corner_radius_m` and `floor_fall_m`.
    shelves : sequence of MeasuredShelf
        Shelves and steps.
    freeboard_m : Measured
        How far the water stands below the rim [m]; give it a floor of 0.
    form : Form
        How far the pond is from that shape.
    draws : Draws
        The hypercube.
    name : str
        The vessel, which names its columns of draws.

    Returns
    -------
    Volume
        Litres, with the errors of the sizes and of the shape.

    Raises
    ------
    ImpossibleInput
        A size is missing, not of a liner pond, or cannot be in some draw.

    Examples
    --------
    >>> sizes = {key: Measured.exact(value) for key, value in {"length_m": 6.0, "width_m": 4.0, "brim_m": 1.5}.items()}
    >>> pond = measured_liner_volume(sizes=sizes, freeboard_m=Measured.exact(0.0), draws=Draws(), name="pond")
    >>> round(pond.band.best)
    36000
    """
    if not _NEEDED <= set(sizes) <= _POSSIBLE:
        raise ImpossibleInput(
            "sizes", ", ".join(sizes) or "none", f"{', '.join(sorted(_NEEDED))}, and other liner sizes"
        )
    drawn = {key: draws.of(f"{name} {key}", size) for key, size in sizes.items()}
    ledges = [
        Shelf(
            depth_m=draws.of(f"{name} shelf {number} depth_m", shelf.depth_m),
            width_m=draws.of(f"{name} shelf {number} width_m", shelf.width_m),
            length_m=None if shelf.length_m is None else draws.of(f"{name} shelf {number} length_m", shelf.length_m),
        )
        for number, shelf in enumerate(shelves)
    ]
    basin = liner_pond(shelves=ledges, **drawn)
    litres = water_in(basin, freeboard_m=freeboard_m, form=form, draws=draws, name=name)
    told = [Reading(key, f"{size.best:g}") for key, size in sizes.items()]
    for number, shelf in enumerate(shelves, start=1):
        along = "all round" if shelf.length_m is None else f"{shelf.length_m.best:g} m long"
        told.append(
            Reading(f"shelf {number}", f"{shelf.depth_m.best:g} m down, {shelf.width_m.best:g} m wide, {along}")
        )
    return Volume(
        litres=litres,
        method=Method.SHAPE,
        words=f"Sizes measured and taken as a liner pond with {len(shelves)} shelves; {form}.",
        readings=(*told, Reading("freeboard_m", f"{freeboard_m.best:g}")),
        cautions=cautions_of(form),
        equations=(battered_volume_l, *((sloping_floor_volume_l,) if "floor_fall_m" in sizes else ())),
        rows=(f"vessel_methods/{form}",),
    )
