"""The set-up of a tank in the reader's units and words: from above and from the side."""

from base64 import b64encode

from waterplan.charts.grammar import Chart
from waterplan.charts.set_up import tank_above, tank_side
from waterplan.charts.style import svg
from waterplan.plan.set_up import Laid
from waterplan.words import numbers
from waterplan.words.speaker import Speaker

_WIDTH = 460


def tank_drawings(speaker: Speaker, one: Laid, water: str) -> list[tuple[str, str]]:
    """A tank from above and from the side, each as the address of a picture that holds it, and what it shows in words."""
    charts = tank_charts(speaker, one, water, width=_WIDTH)
    return [
        (f"data:image/svg+xml;base64,{b64encode(svg(one).encode()).decode()}", one["description"]) for one in charts
    ]


def tank_charts(speaker: Speaker, one: Laid, water: str, *, width: int) -> tuple[Chart, Chart]:
    """A tank from above and from the side.

    Parameters
    ----------
    speaker : Speaker
        The speaker of its plan, whose words are plain.
    one : Laid
        The tank.
    water : str
        Its path.
    width : int
        Width of each drawing [pixels].

    Returns
    -------
    tuple of Chart
        The two drawings.
    """
    say = speaker.say
    read, label = numbers.read_in(1.0, "m", speaker.system, like=max(one.length_m, 1.0))
    name = speaker.name(water, article=True)

    def metres(value: float) -> str:
        return speaker.amount(value, "m", like=1.0)

    values = {
        "water": name,
        "length": metres(one.length_m),
        "width": metres(one.width_m),
        "depth": metres(one.depth_m),
        "fish": metres(one.fish_m),
        "room": metres(one.room_m),
        "lengths": numbers.plain(one.lengths),
        "stated": one.stated,
        "enough": one.length_m >= one.room_m,
        **{key: one.kit.get(key, "") for key in ("air", "heater", "filter", "filled_with")},
        "stones": one.stones,
        "rim": metres(one.rim_m) if one.rim_m else "",
        "lid": one.lid,
    }

    def words(*names: str) -> dict[str, str]:
        return {each: say(f"tank.{each}", **values) for each in names}

    above = {**words("room", "fish", "stone", "heater", "inflow"), "title": say("tank.above", **values)}
    side = {**words("water line", "lid", "wall"), "title": say("tank.side", **values)}
    scale = {"factor": float(read), "unit": speaker.unit(label), "width": width}
    return (
        tank_above(
            (one.length_m, one.width_m),
            is_round=one.round,
            fish_m=one.fish_m,
            room_m=one.room_m,
            stones=one.stones,
            words={**above, "says": say("tank.says", **values)},
            **scale,  # type: ignore[arg-type]
        ),
        tank_side(
            (one.length_m, one.depth_m),
            rim_m=one.rim_m,
            fish_m=one.fish_m,
            lid=one.lid,
            words={**side, "says": say("tank.says", **values)},
            **scale,  # type: ignore[arg-type]
        ),
    )
