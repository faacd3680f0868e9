"""Local cubic interpolation in evenly spaced tables: a curve, and a surface of two variables."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence

STENCIL = 4


class Curve:
    """A property against one variable; a cubic through four neighbouring nodes on each interval.

    `logarithmic` interpolates the logarithm, for properties that span decades.
    """

    __slots__ = ("_cubics", "_last", "_nodes", "_start", "_step", "logarithmic")

    def __init__(
        self, start: float, step: float, values: Sequence[float], *, logarithmic: bool = False
    ) -> None:
        nodes = tuple(math.log(v) for v in values) if logarithmic else tuple(values)
        self._start, self._step, self._nodes = start, step, nodes
        self._last = len(nodes) - 2
        self.logarithmic = logarithmic
        self._cubics = tuple(_cubic(nodes, i) for i in range(self._last + 1))

    def __call__(self, x: float) -> float:
        """Return the property at `x`, which the caller has found to be inside the table."""
        place = (x - self._start) / self._step
        interval = min(max(int(place), 0), self._last)
        u = place - interval
        a, b, c, d = self._cubics[interval]
        value = a + u * (b + u * (c + u * d))
        return math.exp(value) if self.logarithmic else value

    def inverse(self, value: float) -> float:
        """Return where a rising curve reaches `value`, which lies inside the table."""
        target = math.log(value) if self.logarithmic else value
        interval = min(max(bisect_right(self._nodes, target) - 1, 0), self._last)
        a, b, c, d = self._cubics[interval]
        u = (target - a) / (self._nodes[interval + 1] - a)
        for _ in range(4):
            excess = a + u * (b + u * (c + u * d)) - target
            u -= excess / (b + u * (2 * c + 3 * u * d))
        return self._start + (interval + u) * self._step


class Surface:
    """A property against two variables; cubic in each, through sixteen neighbouring nodes."""

    __slots__ = ("_columns", "_rows", "_x", "_y", "logarithmic")

    def __init__(
        self,
        x: tuple[float, float],
        y: tuple[float, float],
        rows: Sequence[Sequence[float]],
        *,
        logarithmic: bool = False,
    ) -> None:
        """Take the first node and step of `x` (rows) and `y` (columns), and the values."""
        self._x, self._y = x, y
        self.logarithmic = logarithmic
        self._rows = tuple(
            tuple(math.log(v) for v in row) if logarithmic else tuple(row) for row in rows
        )
        self._columns = len(rows[0])

    def __call__(self, x: float, y: float) -> float:
        """Return the property at a point that the caller has found to be inside the table."""
        row, across = _stencil(x, self._x, len(self._rows))
        column, along = _stencil(y, self._y, self._columns)
        a, b, c, d = along
        value = 0.0
        for weight, nodes in zip(across, self._rows[row : row + STENCIL], strict=True):
            p, q, r, s = nodes[column : column + STENCIL]
            value += weight * (a * p + b * q + c * r + d * s)
        return math.exp(value) if self.logarithmic else value


def _cubic(nodes: tuple[float, ...], interval: int) -> tuple[float, float, float, float]:
    """Return the power coefficients, from the interval's start, of its four-node cubic."""
    first = min(max(interval - 1, 0), len(nodes) - STENCIL)
    p, q, r, s = nodes[first : first + STENCIL]
    # Newton's forward differences, then moved from the stencil's first node to the interval.
    d1, d2, d3 = q - p, r - 2 * q + p, s - 3 * r + 3 * q - p
    a, b, c, d = p, d1 - d2 / 2 + d3 / 3, d2 / 2 - d3 / 2, d3 / 6
    shift = interval - first
    return (
        a + shift * (b + shift * (c + shift * d)),
        b + shift * (2 * c + 3 * shift * d),
        c + 3 * shift * d,
        d,
    )


def _stencil(
    value: float, axis: tuple[float, float], count: int
) -> tuple[int, tuple[float, float, float, float]]:
    """Return the first of four nodes around `value`, and the weight of each."""
    start, step = axis
    place = (value - start) / step
    first = min(max(int(place) - 1, 0), count - STENCIL)
    u = place - first
    v, w, t = u - 1, u - 2, u - 3
    return first, (-v * w * t / 6, u * w * t / 2, -u * v * t / 2, u * v * w / 6)
