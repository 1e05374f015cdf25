"""The most likely causes: weighted least squares with what was likely beforehand.

Source: Gauss-Markov with a priori covariance (Bayes; A. Tarantola 2005, section 3.2; from memory). With A the
observations' coefficients, y their deviations, R and P the variances of measuring and of the unknowns, the
most likely x makes (y - A x)' R^-1 (y - A x) + x' P^-1 x least. It is solved as one plain least squares
problem in which every unknown's own sigma is one more observation of 0.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from mountgen.asbuilt.records import Estimate, Finding, Observation, Unknown
from mountgen.demand import Floats


def estimate(unknowns: Sequence[Unknown], observations: Sequence[Observation]) -> Estimate:
    """The most likely values of those unknowns that any observation depends on.

    Raises ValueError for a sigma that is not above 0, and for an observation of something unknown.
    """
    from scipy.stats import chi2

    _require(unknowns, observations)
    seen = {name for one in observations for name, effect in one.on.items() if effect}
    kept = tuple(u for u in unknowns if u.name in seen)
    prior = np.array([u.sigma for u in kept])
    measured = np.array([one.sigma for one in observations])
    deviation = np.array([one.deviation for one in observations])
    effects = np.array([[one.on.get(u.name, 0.0) for u in kept] for one in observations]).reshape(
        len(observations), len(kept)
    )
    # In units of each unknown's own sigma: the lower half of the problem is then the identity.
    scaled = np.vstack([effects * prior / measured[:, None], np.eye(len(kept))])
    turned, triangle = np.linalg.qr(scaled)
    inverse = np.linalg.inv(triangle)
    found = inverse @ (turned.T @ np.concatenate([deviation / measured, np.zeros(len(kept))]))
    covariance = inverse @ inverse.T * np.outer(prior, prior)
    expected = effects * prior @ (effects * prior).T + np.diag(measured**2)
    distance = float(deviation @ np.linalg.solve(expected, deviation))
    misfits = deviation / np.sqrt(np.diag(expected))
    chance = float(chi2.sf(distance, len(observations)))
    return Estimate(kept, found * prior, covariance, tuple(observations), misfits, chance)


def _require(unknowns: Sequence[Unknown], observations: Sequence[Observation]) -> None:
    names = {u.name for u in unknowns}
    for sigma in (*(u.sigma for u in unknowns), *(one.sigma for one in observations)):
        if not sigma > 0.0:
            raise ValueError(f"a standard deviation must be above 0, found {sigma:g}")
    for one in observations:
        if strange := set(one.on) - names:
            raise ValueError(f"{one.what} depends on {sorted(strange)[0]!r}, which is no unknown")


def findings(found: Estimate) -> tuple[Finding, ...]:
    """Every unknown that was seen, the least expected value first."""
    left: Floats = np.sqrt(np.diag(found.covariance))
    made = [
        Finding(u.name, u.unit, float(value), float(sigma), float(value) / u.sigma, u.tells)
        for u, value, sigma in zip(found.unknowns, found.values, left, strict=True)
    ]
    return tuple(sorted(made, key=lambda one: -abs(one.sigmas)))
