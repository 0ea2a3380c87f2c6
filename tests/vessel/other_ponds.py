"""Ten more basins, none of which any constant of the methods was set on: the check of the family itself."""

from collections.abc import Callable

import numpy as np

from tests.vessel.simulated_ponds import Floats, Pond, _pond

Depth = Callable[[Floats, Floats], Floats]


def _round_about(
    rng: np.random.Generator,
    size: Floats,
    floor: Callable[[Floats, Floats, Floats], Floats],
    *,
    wall: bool = False,
    power: float = 2.0,
    egg: float = 0.0,
    ledges: bool = False,
) -> Pond:
    """A shore about a middle, as a superellipse that may be narrower at one end; `floor` by the way out, and the place."""
    length, width, _ = size
    angle = np.linspace(0.0, 2.0 * np.pi, 360, endpoint=False)

    def rim(of: Floats) -> Floats:
        return (np.abs(np.cos(of)) ** power + np.abs(np.sin(of)) ** power) ** (-1.0 / power) * (1.0 - egg * np.cos(of))

    shore = rim(angle)[:, None] * np.column_stack([length / 2 * np.cos(angle), width / 2 * np.sin(angle)])

    def depth(x: Floats, y: Floats) -> Floats:
        u, v = 2.0 * x / length, 2.0 * y / width
        out = np.hypot(u, v) / rim(np.arctan2(v, u))
        return np.where(out <= 1.0, np.maximum(floor(np.minimum(out, 1.0), u, v), 0.0), 0.0)

    return _pond(shore, depth, curved=True, wall=wall, ledges=ledges)


def _angular(corners: Floats, depth: Depth, *, wall: bool) -> Pond:
    """Straight sides between corners."""
    fine = [
        a + (b - a) * np.arange(9)[:, None] / 9.0 for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True)
    ]
    at_corners = tuple(range(0, 9 * len(corners), 9)) if wall else ()
    return _pond(np.concatenate(fine) if wall else corners, depth, curved=False, wall=wall, corners=at_corners)


def _two_shelves(rng: np.random.Generator, size: Floats) -> Pond:
    deep, (first, second) = size[2], np.sort(rng.uniform(0.1, 0.6, 2)) * size[2]
    inner, innermost = rng.uniform(0.75, 0.95), rng.uniform(0.4, 0.7)
    return _round_about(
        rng,
        size,
        lambda r, u, v: np.where(r > inner, first * (1 - r) / (1 - inner), np.where(r > innermost, second, deep)),
        power=3.0,
        ledges=True,
    )


def _trough(rng: np.random.Generator, size: Floats) -> Pond:
    fall = rng.uniform(0.0, 0.4)
    length, width, deep = size
    corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * np.array([length, width]) / 2

    def depth(x: Floats, y: Floats) -> Floats:
        u, v = np.abs(2 * x / length), np.abs(2 * y / width)
        keel = deep * (1 - v) * (1 + fall * 2 * x / length) / (1 + fall)
        return np.where((u <= 1) & (v <= 1), np.minimum(keel, deep * (1 - u) * 4), 0.0)

    return _angular(corners, depth, wall=False)


def _angled(rng: np.random.Generator, size: Floats) -> Pond:
    """An L with upright walls, deeper in one arm."""
    length, width, deep = size
    bay, arm, shallow = rng.uniform(0.35, 0.65) * length, rng.uniform(0.4, 0.7) * width, rng.uniform(0.4, 0.9) * deep
    corners = np.array([[0, 0], [length, 0], [length, arm], [bay, arm], [bay, width], [0, width]])

    def depth(x: Floats, y: Floats) -> Floats:
        inside = (x >= 0) & (x <= length) & (y >= 0) & (y <= np.where(x <= bay, width, arm))
        return np.where(inside, shallow + (deep - shallow) * np.clip((length - x) / length, 0.0, 1.0), 0.0)

    return _angular(corners, depth, wall=True)


def _hopper(rng: np.random.Generator, size: Floats) -> Pond:
    """Eight sides, upright walls, and a floor that falls from a rim to a drain off the middle."""
    length, width, deep = size
    angle = np.pi / 8 + np.arange(8) * np.pi / 4
    corners = np.column_stack([length / 2 * np.cos(angle), width / 2 * np.sin(angle)])
    rim, drain = deep * rng.uniform(0.4, 0.8), rng.uniform(-0.4, 0.4, 2)

    def depth(x: Floats, y: Floats) -> Floats:
        u, v = 2 * x / length, 2 * y / width
        way = np.max([u * np.cos(a) + v * np.sin(a) for a in np.arange(8) * np.pi / 4], axis=0) / np.cos(np.pi / 8)
        away = np.hypot(u - drain[0], v - drain[1]) / (1 + np.hypot(*drain))
        return np.where(way <= 1, rim + (deep - rim) * np.maximum(1 - away, 0.0), 0.0)

    return _angular(corners, depth, wall=True)


def _two_basins(rng: np.random.Generator, size: Floats) -> Pond:
    deep, other, apart = size[2], rng.uniform(0.4, 1.0) * size[2], rng.uniform(0.35, 0.55)

    def floor(r: Floats, u: Floats, v: Floats) -> Floats:
        hollows = deep * np.exp(-((u + apart) ** 2 + v**2) * 4) + other * np.exp(-((u - apart) ** 2 + v**2) * 4)
        return (0.3 * deep + 0.7 * hollows) * (1 - r**4)

    return _round_about(rng, size, floor)


def _mound(rng: np.random.Generator, size: Floats) -> Pond:
    high, wide = rng.uniform(0.3, 0.8), rng.uniform(0.2, 0.4)
    return _round_about(rng, size, lambda r, u, v: size[2] * (1 - r**3) * (1 - high * np.exp(-((r / wide) ** 2))))


def _beach(rng: np.random.Generator, size: Floats) -> Pond:
    """A long shallow beach to one side, a steep bank to the other."""
    lean = rng.uniform(0.3, 0.8)
    return _round_about(rng, size, lambda r, u, v: size[2] * (1 - r**4) * (1 + lean * u) / (1 + lean))


def _dish(rng: np.random.Generator, size: Floats) -> Pond:
    deep, rim = size[2], rng.uniform(0.5, 0.9)
    return _round_about(rng, size, lambda r, u, v: deep * (rim + (1 - rim) * (1 - r**2)), wall=True, power=4.0)


def _stream(rng: np.random.Generator, size: Floats) -> Pond:
    """Long and narrow, deepest where it bends."""
    narrow = np.array([size[0], 0.35 * size[0], size[2]])
    phase = rng.uniform(0.0, 2 * np.pi)
    return _round_about(
        rng, narrow, lambda r, u, v: size[2] * (1 - r**2) * (0.75 + 0.25 * np.cos(3 * u + phase)), power=2.5
    )


OTHERS: dict[str, Callable[[np.random.Generator, Floats], Pond]] = {
    "two shelves": _two_shelves,
    "trough": _trough,
    "angled, with walls": _angled,
    "hopper with walls": _hopper,
    "two basins": _two_basins,
    "mound in the middle": _mound,
    "beach": _beach,
    "dish with walls": _dish,
    "long and narrow": _stream,
    "egg": lambda rng, size: _round_about(
        rng, size, lambda r, u, v: size[2] * (1 - r**2.5) * (1 + 0.2 * v), egg=rng.uniform(0.1, 0.25)
    ),
}
