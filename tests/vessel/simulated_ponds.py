"""A seeded family of simulated ponds whose volume is known, and surveys of them as a person with a stick would do.

The ponds are closed forms in their own axes, turned by a random angle. `litres` is integrated on a fine lattice from the
same closed form, independently of the code under test.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
STICK_M, COMMON_M, POINT_M = 0.015, 0.01, 0.03
_LATTICE = 240


@dataclass(frozen=True, slots=True, kw_only=True)
class Pond:
    """A pond in its own axes: a shore of many points, the depth at any place, and what the shore is like.

    `corners` are the points of the shore that nobody who walks round it would leave out.
    """

    shore: Floats
    depth: Callable[[Floats, Floats], Floats]
    curved: bool
    wall: bool
    litres: float
    area_m2: float
    corners: tuple[int, ...] = ()
    ledges: bool = False

    def wall_depth(self, points: Floats) -> Floats:
        """Depth at the foot of the wall, just inside the shore; 0 where there is none."""
        if not self.wall:
            return np.zeros(len(points))
        before, after = np.roll(points, 1, axis=0), np.roll(points, -1, axis=0)
        along = after - before
        inwards = np.column_stack([-along[:, 1], along[:, 0]]) / np.hypot(*along.T)[:, None]
        foot = points + 0.02 * np.sqrt(self.area_m2) * inwards
        return self.depth(foot[:, 0], foot[:, 1])


def _pond(
    shore: Floats,
    depth: Callable[[Floats, Floats], Floats],
    *,
    curved: bool,
    wall: bool,
    corners: tuple[int, ...] = (),
    ledges: bool = False,
) -> Pond:
    low, high = shore.min(axis=0), shore.max(axis=0)
    step = (high - low) / _LATTICE
    x, y = np.meshgrid(*(low[axis] + step[axis] * (np.arange(_LATTICE) + 0.5) for axis in (0, 1)))
    litres = 1000.0 * depth(x, y).sum() * step.prod()
    xs, ys = shore.T
    area = 0.5 * float(xs @ np.roll(ys, -1) - np.roll(xs, -1) @ ys)
    return Pond(
        shore=shore,
        depth=depth,
        curved=curved,
        wall=wall,
        litres=float(litres),
        area_m2=area,
        corners=corners,
        ledges=ledges,
    )


def _angles() -> Floats:
    return np.linspace(0.0, 2.0 * np.pi, 360, endpoint=False)


def _ellipse(length: float, width: float) -> Floats:
    angle = _angles()
    return np.column_stack([length / 2 * np.cos(angle), width / 2 * np.sin(angle)])


def _off_centre(length: float, width: float, away: Floats) -> Callable[[Floats, Floats], Floats]:
    """0 at a deepest point that lies off the middle, 1 on the ellipse; level lines are ellipses that move."""

    def radius(x: Floats, y: Floats) -> Floats:
        u, v = x / (length / 2) - away[0], y / (width / 2) - away[1]
        a, b, c = away @ away - 1.0, 2.0 * (u * away[0] + v * away[1]), u**2 + v**2
        return (-b - np.sqrt(np.maximum(b**2 - 4 * a * c, 0.0))) / (2 * a)

    return radius


def _bowl(rng: np.random.Generator, size: Floats, profile: Callable[[Floats], Floats]) -> Pond:
    length, width, deep = size
    radius = _off_centre(length, width, rng.uniform(-0.3, 0.3, 2))
    return _pond(
        _ellipse(length, width),
        lambda x, y: deep * profile(np.minimum(radius(x, y), 1.0)),
        curved=True,
        wall=False,
    )


def _rounded(length: float, width: float, radius: float) -> tuple[Floats, Callable[[Floats, Floats], Floats]]:
    corners = []
    for sign_x, sign_y, first in ((1, 1, 0), (-1, 1, 90), (-1, -1, 180), (1, -1, 270)):
        angle = np.radians(first + np.linspace(0.0, 90.0, 9))
        centre = np.array([sign_x * (length / 2 - radius), sign_y * (width / 2 - radius)])
        corners.append(centre + radius * np.column_stack([np.cos(angle), np.sin(angle)]))

    def inwards(x: Floats, y: Floats) -> Floats:
        over_x, over_y = np.abs(x) - (length / 2 - radius), np.abs(y) - (width / 2 - radius)
        outside = np.hypot(np.maximum(over_x, 0.0), np.maximum(over_y, 0.0))
        return radius - outside - np.minimum(np.maximum(over_x, over_y), 0.0)

    return np.concatenate(corners), inwards


def _liner(rng: np.random.Generator, size: Floats, *, shelf: bool) -> Pond:
    length, width, deep = size
    shore, inwards = _rounded(length, width, width * rng.uniform(0.02, 0.25))
    ledge_m, wide_m = rng.uniform(0.2, 0.4, 2) if shelf else (0.0, 0.0)
    lean = rng.uniform(0.0, 0.3) if shelf else rng.uniform(0.3, 1.0) * 0.3 * width / deep

    def depth(x: Floats, y: Floats) -> Floats:
        come_in = inwards(x, y)
        below = np.where(come_in < wide_m, ledge_m, ledge_m + (come_in - wide_m) / max(lean, 1e-3))
        return np.where(come_in < 0, 0.0, np.minimum(below, deep))

    return _pond(shore, depth, curved=False, wall=shelf)


def _kidney(rng: np.random.Generator, size: Floats, *, wall: bool) -> Pond:
    length, width, deep = size
    bend = rng.uniform(0.3, 0.8) * width / (length / 2) ** 2 / 2
    tilt = rng.uniform(-0.25, 0.25, 2)
    shore = _ellipse(length, 0.8 * width) + np.column_stack(
        [np.zeros(360), bend * (length / 2 * np.cos(_angles())) ** 2]
    )

    def depth(x: Floats, y: Floats) -> Floats:
        radius = np.hypot(x / (length / 2), (y - bend * x**2) / (0.4 * width))
        floor = 1 + tilt[0] * x / (length / 2) + tilt[1] * np.cos(3 * x / length) / 2 if wall else 1 - radius**2.5
        return np.where(radius <= 1, deep * floor, 0.0)

    return _pond(shore, depth, curved=True, wall=wall)


def _sloped(rng: np.random.Generator, size: Floats, *, round_ends: bool) -> Pond:
    length, width, deep = size
    shallow, angle = deep * rng.uniform(0.2, 0.9), rng.uniform(0.0, 2.0 * np.pi)
    across = np.array([np.cos(angle), np.sin(angle)])
    shore = _ellipse(length, width) if round_ends else _rounded(length, width, 0.0)[0][::9]
    reach = float(np.abs(shore @ across).max())

    def depth(x: Floats, y: Floats) -> Floats:
        inside = np.hypot(2 * x / length, 2 * y / width) <= 1 if round_ends else np.abs(2 * x / length) <= 1
        inside = inside & (np.abs(2 * y / width) <= 1)
        return np.where(
            inside, (deep + shallow) / 2 + (deep - shallow) / 2 * (x * across[0] + y * across[1]) / reach, 0
        )

    return _pond(shore, depth, curved=round_ends, wall=True)


def _free(rng: np.random.Generator, size: Floats) -> Pond:
    length, width, deep = size
    waves = rng.normal(0.0, 1.0, (2, 3)) * np.array([0.10, 0.06, 0.03])
    turns = np.arange(2, 5)

    def rim(angle: Floats) -> Floats:
        return 1 + np.cos(angle[..., None] * turns) @ waves[0] + np.sin(angle[..., None] * turns) @ waves[1]

    lump = rng.normal(0.0, 5.0 / length, (3, 2))
    phase, steep = rng.uniform(0.0, 2.0 * np.pi, 3), rng.uniform(1.5, 6.0)

    def depth(x: Floats, y: Floats) -> Floats:
        u, v = 2 * x / length, 2 * y / width
        radius = np.hypot(u, v) / rim(np.arctan2(v, u))
        lumps = 1 + 0.15 * np.cos(lump[:, 0] * x[..., None] + lump[:, 1] * y[..., None] + phase).sum(axis=-1)
        return deep * np.maximum(1 - radius**steep, 0.0) * lumps

    return _pond(_ellipse(length, width) * rim(_angles())[:, None], depth, curved=True, wall=False)


FAMILY: dict[str, Callable[[np.random.Generator, Floats], Pond]] = {
    "soft bowl": lambda rng, size: _bowl(rng, size, lambda r: 1 - r**2),
    "round bowl": lambda rng, size: _bowl(rng, size, lambda r: np.sqrt(1 - r**2)),
    "cone": lambda rng, size: _bowl(rng, size, lambda r: 1 - r),
    "liner with a shelf": lambda rng, size: _liner(rng, size, shelf=True),
    "liner with leaning walls": lambda rng, size: _liner(rng, size, shelf=False),
    "kidney bowl": lambda rng, size: _kidney(rng, size, wall=False),
    "kidney with walls": lambda rng, size: _kidney(rng, size, wall=True),
    "sloped floor, square": lambda rng, size: _sloped(rng, size, round_ends=False),
    "sloped floor, round": lambda rng, size: _sloped(rng, size, round_ends=True),
    "free and lumpy": _free,
}


def pond(made: Callable[[np.random.Generator, Floats], Pond], rng: np.random.Generator) -> Pond:
    """A pond of one kind, 3 to 15 m long and 0.7 to 2.5 m deep."""
    length = rng.uniform(3.0, 15.0)
    return made(rng, np.array([length, length * rng.uniform(0.45, 1.0), rng.uniform(0.7, 2.5)]))


def _far_apart(points: Floats, corners: tuple[int, ...]) -> list[int]:
    """The points that a person would take: every corner, and none nearer than a foot and a bit to another."""
    kept = list(corners) or [0]
    for index in range(1, len(points)):
        if np.hypot(*(points[kept] - points[index]).T).min() > 0.35:
            kept.append(index)
    return sorted(kept)


def trace(made: Pond, rng: np.random.Generator) -> tuple[Floats, Floats]:
    """Points along the shore as a person takes them, and the depth read at the foot of the wall beside each."""
    points = made.shore
    if made.curved:
        points = points[np.linspace(0, len(points), rng.integers(16, 33), endpoint=False).astype(int)]
    points = points[_far_apart(points, made.corners)]
    depth = np.maximum(made.wall_depth(points) + (rng.normal(0, STICK_M, len(points)) if made.wall else 0.0), 0.0)
    return points + rng.normal(0.0, POINT_M, points.shape), depth
