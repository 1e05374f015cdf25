"""In which order to visit settings so that little is moved: the shortest open way through all of them.

A way begins anywhere, visits every setting once and ends anywhere. Up to MOST_EXACT settings it is the
shortest there is; up to MOST_IMPROVED it is a good one; beyond that the settings are swept in lanes.
Sources: M. Held and R. Karp 1962 (dynamic programming), G. Croes 1958 (2-opt); from memory.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from mountgen.demand import Floats

MOST_EXACT = 12
MOST_IMPROVED = 1_000
MOST_ROUNDS = 20
"""Times that a whole way is looked through for two turns that shorten it."""
GAIN = 1e-9
"""mm; what is shorter by less is the same."""

Order = NDArray[np.intp]


def small_order(points: Floats) -> Order:
    """The rows of `points` (one a setting, its columns in mm of movement) in the order to visit them.

    Columns are moved one after the other, so the way between two settings is the sum over the columns.
    Of a way and its reverse the one that begins at the lower row of `points` is given.
    """
    count = len(points)
    if count > MOST_IMPROVED:
        return _lanes(points)
    apart = np.abs(points[:, None, :] - points[None, :, :]).sum(axis=2)
    order = _shortest(apart) if count <= MOST_EXACT else _improved(_nearest(apart), apart)
    return order if order[0] <= order[-1] else order[::-1]


def travel(points: Floats) -> float:
    """mm of movement when the rows are visited as they stand."""
    return float(np.abs(np.diff(points, axis=0)).sum())


def _shortest(apart: Floats) -> Order:
    """Dynamic programming over sets of visited settings and the last of them."""
    count = len(apart)
    best = np.full((1 << count, count), np.inf)
    before = np.zeros((1 << count, count), dtype=np.intp)
    for last in range(count):
        best[1 << last, last] = 0.0
    for visited in range(1, 1 << count):
        for last in range(count):
            if visited & 1 << last and visited != 1 << last:
                ways = best[visited ^ 1 << last] + apart[:, last]
                before[visited, last] = np.argmin(ways)
                best[visited, last] = ways[before[visited, last]]
    visited, last = (1 << count) - 1, int(np.argmin(best[-1]))
    order = [last]
    while visited != 1 << last:
        visited, last = visited ^ 1 << last, int(before[visited, last])
        order.append(last)
    return np.array(order[::-1], dtype=np.intp)


def _nearest(apart: Floats) -> Order:
    """From the setting that is farthest from another, always on to the nearest that is left."""
    left = apart.copy()
    order = [int(np.unravel_index(np.argmax(apart), apart.shape)[0])]
    for _ in range(len(apart) - 1):
        left[:, order[-1]] = np.inf
        order.append(int(np.argmin(left[order[-1]])))
    return np.array(order, dtype=np.intp)


def _improved(order: Order, apart: Floats) -> Order:
    """Stretches are turned round as long as that shortens the way (2-opt, open at both ends)."""
    for _ in range(MOST_ROUNDS):
        shorter = False
        for start in range(len(order) - 1):
            gains = _gains(order, apart, start)
            end = int(np.argmax(gains))
            if gains[end] > GAIN:
                stop = start + 1 + end
                order[start : stop + 1] = order[start : stop + 1][::-1].copy()
                shorter = True
        if not shorter:
            break
    return order


def _gains(order: Order, apart: Floats, start: int) -> Floats:
    """What turning the stretch from `start` to each later place saves, mm; nothing stands before the first
    place or behind the last."""
    ends = order[start + 1 :]
    gains = np.zeros(len(ends))
    if start > 0:
        gains += apart[order[start - 1], order[start]] - apart[order[start - 1], ends]
    gains[:-1] += apart[ends[:-1], ends[1:]] - apart[order[start], ends[1:]]
    return gains


def _lanes(points: Floats) -> Order:
    """Up and down through lanes of the first column, each across the second; about as many lanes as make
    the ways along and between them alike."""
    width = np.ptp(points[:, :2], axis=0)
    lanes = max(1, round(math.sqrt(len(points) * max(float(width[1]), 1.0) / max(float(width[0]), 1.0) / 2)))
    lane = np.minimum((points[:, 1] - points[:, 1].min()) * lanes // max(float(width[1]), 1e-9), lanes - 1)
    along = np.where(lane % 2 == 0, points[:, 0], -points[:, 0])
    rest = points[:, 2] if points.shape[1] > 2 else np.zeros(len(points))
    return np.lexsort((points[:, 1], along, lane, rest))
