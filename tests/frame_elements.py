"""A space frame of straight beam elements: stiffness and lumped masses, for comparison with closed forms.

Element stiffness of a Bernoulli beam in three dimensions: Przemieniecki, Theory of Matrix Structural
Analysis, section 5.6 (from memory).
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Beam:
    """A straight member; stiffnesses in N, N mm2; `reference` is any direction off its axis: ei_1 resists
    bending that moves the beam along it, ei_2 bending square to it."""

    start: tuple[float, float, float]
    end: tuple[float, float, float]
    ea: float
    ei_1: float
    ei_2: float
    gj: float
    reference: tuple[float, float, float]
    kg: float = 0.0


class Frame:
    """Beams cut into elements, springs and masses at points; N, mm, kg, and mm/s2 by the factor 1000."""

    def __init__(self, pieces: int = 6) -> None:
        self.pieces = pieces
        self.points: list[tuple[float, ...]] = []
        self.elements: list[tuple[int, int, Beam]] = []
        self.masses: dict[int, float] = {}
        self.springs: dict[int, float] = {}

    def node(self, point) -> int:
        key = tuple(round(float(value), 6) for value in point)
        if key not in self.points:
            self.points.append(key)
        return self.points.index(key)

    def add(self, beam: Beam) -> None:
        a, b = np.array(beam.start), np.array(beam.end)
        nodes = [self.node(a + (b - a) * k / self.pieces) for k in range(self.pieces + 1)]
        for one, other in itertools.pairwise(nodes):
            self.elements.append((one, other, beam))
            for node in (one, other):
                self.masses[node] = self.masses.get(node, 0.0) + beam.kg / self.pieces / 2

    def put(self, point, kg: float) -> None:
        node = self.node(point)
        self.masses[node] = self.masses.get(node, 0.0) + kg

    def fix(self, point, *, turn_x: float = 1e15, turn_y: float = 1e15) -> None:
        """Held at a point; turning about x and y against springs, N mm/rad."""
        for freedom, value in enumerate((1e12, 1e12, 1e12, turn_x, turn_y, 1e15)):
            self.springs[6 * self.node(point) + freedom] = value

    def stiffness(self) -> np.ndarray:
        matrix = np.zeros((6 * len(self.points), 6 * len(self.points)))
        for one, other, beam in self.elements:
            index = [*range(6 * one, 6 * one + 6), *range(6 * other, 6 * other + 6)]
            matrix[np.ix_(index, index)] += self._element(one, other, beam)
        for freedom, value in self.springs.items():
            matrix[freedom, freedom] += value
        return matrix

    def _element(self, one: int, other: int, beam: Beam) -> np.ndarray:
        a, b = np.array(self.points[one]), np.array(self.points[other])
        size = float(np.linalg.norm(b - a))
        along = (b - a) / size
        side = np.array(beam.reference) - np.dot(beam.reference, along) * along
        side /= np.linalg.norm(side)
        turn = np.vstack([along, side, np.cross(along, side)])
        local = np.zeros((12, 12))
        for (p, q), value in (((0, 6), beam.ea / size), ((3, 9), beam.gj / size)):
            local[np.ix_([p, q], [p, q])] += value * np.array([[1, -1], [-1, 1]])
        for freedoms, ei, sign in (((1, 5, 7, 11), beam.ei_1, 1.0), ((2, 4, 8, 10), beam.ei_2, -1.0)):
            s = sign * size
            bending = np.array(
                [
                    [12, 6 * s, -12, 6 * s],
                    [6 * s, 4 * size**2, -6 * s, 2 * size**2],
                    [-12, -6 * s, 12, -6 * s],
                    [6 * s, 2 * size**2, -6 * s, 4 * size**2],
                ]
            )
            local[np.ix_(freedoms, freedoms)] += ei / size**3 * bending
        whole = np.kron(np.eye(4), turn)
        return whole.T @ local @ whole

    def moved(self, point, force) -> np.ndarray:
        """Displacements and rotations of a point under a force on it."""
        load = np.zeros(6 * len(self.points))
        node = self.node(point)
        load[6 * node : 6 * node + 3] = force
        return np.linalg.solve(self.stiffness(), load)[6 * node : 6 * node + 6]

    def first_frequency(self) -> float:
        mass = np.zeros(6 * len(self.points))
        for node, kg in self.masses.items():
            mass[6 * node : 6 * node + 3] = kg
        flexible = np.linalg.solve(self.stiffness(), np.diag(mass))
        largest = float(np.abs(np.linalg.eigvals(flexible)).max())
        return float(np.sqrt(1000.0 / largest) / (2 * np.pi))
