"""Surveys of simulated ponds by each method, with the errors that the method is told to expect."""

import contextlib
from collections.abc import Callable

import numpy as np

from tests.vessel.simulated_ponds import COMMON_M, STICK_M, Floats, Pond, trace
from waterplan.errors import CaseError
from waterplan.spread import Draws, Measured
from waterplan.vessel.contours import contour_volume
from waterplan.vessel.outline import Outline
from waterplan.vessel.sections import grid_volume, transect_volume
from waterplan.vessel.survey import Survey, sounded_volume
from waterplan.vessel.systematic import Edge, Shore
from waterplan.vessel.volume import Volume

AREA_ERROR = 0.03


def _read(true: Floats, common: float, rng: np.random.Generator) -> Floats:
    return np.maximum(true + common + rng.normal(0.0, STICK_M, np.shape(true)), 0.0)


def _outline(made: Pond, rng: np.random.Generator) -> tuple[Outline, Floats]:
    points, depth = trace(made, rng)
    return Outline.traced(points, curved=made.curved), depth


def _lattice(made: Pond, spacing: float, rng: np.random.Generator) -> tuple[Floats, Floats]:
    """A square lattice that covers the pond, with a random start and a random turn."""
    reach = float(np.hypot(*np.abs(made.shore).max(axis=0))) + 2.0 * spacing
    steps = np.arange(-reach, reach, spacing)
    x, y = np.meshgrid(steps + rng.uniform(0, spacing), steps + rng.uniform(0, spacing))
    turn = rng.uniform(0.0, np.pi / 2.0)
    return x * np.cos(turn) - y * np.sin(turn), x * np.sin(turn) + y * np.cos(turn)


def _shore(made: Pond, outline: Outline, at_wall: Floats) -> Shore:
    if not made.wall:
        return Shore(edge=Edge.LEDGES if made.ledges else Edge.RUNS_OUT)
    around = np.roll(outline.points, -1, axis=0) - outline.points
    length = np.hypot(*around.T)
    mean = float(np.average((at_wall + np.roll(at_wall, -1)) / 2.0, weights=length))
    area = Measured.plus_minus(outline.area_m2, 1.959964 * outline.area_error_m2)
    return Shore(edge=Edge.WALL, area_m2=area, wall_depth_m=mean)


def by_soundings(made: Pond, rng: np.random.Generator, draws: Draws) -> Volume:
    """12 to 64 soundings, scattered at random or roughly in a grid."""
    outline, at_wall = _outline(made, rng)
    count, common = int(rng.integers(12, 65)), rng.normal(0.0, COMMON_M)
    if rng.random() < 0.5:
        low, high = outline.ring.min(axis=0), outline.ring.max(axis=0)
        places = rng.uniform(low, high, (20 * count, 2))
    else:
        places = np.column_stack([axis.ravel() for axis in _lattice(made, np.sqrt(made.area_m2 / count), rng)])
    places = places[outline.contains(places)][: 2 * count if len(places) < 20 * count else count]
    depth = _read(made.depth(*places.T), common, rng)
    at_wall = np.maximum(at_wall + common, 0.0) if made.wall else at_wall
    survey = Survey.taken(outline, np.column_stack([places, depth]), shore_depth_m=list(at_wall))
    return sounded_volume(survey, draws=draws, name="pond")


def by_grid(made: Pond, rng: np.random.Generator, draws: Draws) -> Volume:
    """A square grid of 12 to 64 places with a random start."""
    outline, at_wall = _outline(made, rng)
    common, spacing = rng.normal(0.0, COMMON_M), float(np.sqrt(made.area_m2 / rng.integers(12, 65)))
    x, y = _lattice(made, spacing, rng)
    true = made.depth(x, y)
    depth = np.where(true > 0, _read(true, common, rng), np.nan)
    return grid_volume(
        depth.tolist(),
        spacing_m=spacing,
        row_spacing_m=spacing,
        shore=_shore(made, outline, at_wall),
        draws=draws,
        name="pond",
    )


def by_lines(made: Pond, rng: np.random.Generator, draws: Draws) -> Volume:
    """5 to 10 lines across the length of the pond, with 5 to 12 soundings on each besides the two shores."""
    outline, at_wall = _outline(made, rng)
    common, places = rng.normal(0.0, COMMON_M), int(rng.integers(5, 13))
    low, high = made.shore.min(axis=0), made.shore.max(axis=0)
    spacing = float((high[0] - low[0]) / rng.integers(5, 11))
    fine = np.linspace(low[1], high[1], 1500)
    lines = []
    for x in np.arange(low[0] + rng.uniform(0, spacing), high[0], spacing):
        wet = fine[made.depth(np.full_like(fine, x), fine) > 0]
        if len(wet) < 3:
            continue
        across = np.linspace(wet[0], wet[-1], places + 2)
        depth = made.depth(np.full_like(across, x), across)
        read = _read(depth, common, rng)
        if not made.wall:
            read[[0, -1]] = 0.0
        lines.append(np.column_stack([across - across[0], read]).tolist())
    return transect_volume(
        lines,
        spacing_m=spacing,
        shore=_shore(made, outline, at_wall),
        draws=draws,
        name="pond",
    )


def by_contours(made: Pond, rng: np.random.Generator, draws: Draws) -> Volume:
    """Areas at 3 to 7 depths besides the deepest, each with an error of 3 %; below the foot of upright sides, if there are."""
    low, high = made.shore.min(axis=0), made.shore.max(axis=0)
    step = (high - low) / 240
    x, y = np.meshgrid(*(low[axis] + step[axis] * (np.arange(240) + 0.5) for axis in (0, 1)))
    true = made.depth(x, y)
    levels = int(rng.integers(3, 8))
    depth = np.linspace(0.0, true.max() * (1 - 1e-9), levels + 1)
    depth[1:-1] += rng.uniform(-0.15, 0.15, levels - 1) * true.max() / levels
    foot = float(min(trace(made, rng)[1].min(), true.max())) if made.wall else 0.0
    depth[1:] = foot + depth[1:] * (true.max() - foot) / true.max()
    area = np.array([step.prod() * (true > level).sum() for level in depth])
    area[-1] = area[-1] if area[-1] > 0.02 * area[0] else 0.0
    while True:  # what is refused is read again
        read = area * np.exp(rng.normal(0.0, AREA_ERROR, levels + 1))
        with contextlib.suppress(CaseError):
            rows = np.column_stack([depth, read]).tolist()
            return contour_volume(rows, draws=draws, name="pond", upright_m=foot)


METHODS: dict[str, Callable[[Pond, np.random.Generator, Draws], Volume]] = {
    "soundings": by_soundings,
    "grid": by_grid,
    "lines": by_lines,
    "contours": by_contours,
}
