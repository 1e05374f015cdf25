"""The estimate against two independent formulations, and what holds for all numbers."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mountgen.asbuilt.estimate import estimate, findings
from mountgen.asbuilt.records import Observation, Unknown

seeds = st.integers(0, 10_000)


def problem(seed: int, unknowns: int, observations: int, prior: float = 1.0):
    dice = np.random.default_rng(seed)
    sigmas = prior * dice.uniform(0.1, 2.0, unknowns)
    noise, off = dice.uniform(0.05, 0.5, observations), dice.normal(0, 1, observations)
    effects = dice.normal(0, 1, (observations, unknowns))
    named = [Unknown(f"u{i}", "mm", float(s), "") for i, s in enumerate(sigmas)]
    seen = [
        Observation(f"o{i}", float(off[i]), float(noise[i]), {f"u{j}": float(v) for j, v in enumerate(row)})
        for i, row in enumerate(effects)
    ]
    return named, seen, effects, off, noise, sigmas


@settings(max_examples=30, deadline=None)
@given(seeds, st.integers(1, 8), st.integers(1, 8))
def test_the_same_as_the_gain_form(seed, unknowns, observations):
    """x = P A' S^-1 y and P - P A' S^-1 A P with S = A P A' + R: another way to write the same (Kalman)."""
    named, seen, effects, off, noise, sigmas = problem(seed, unknowns, observations)
    prior = np.diag(sigmas**2)
    gain = prior @ effects.T @ np.linalg.inv(effects @ prior @ effects.T + np.diag(noise**2))
    found = estimate(named, seen)
    assert found.values == pytest.approx(gain @ off, rel=1e-6, abs=1e-9)
    assert found.covariance == pytest.approx(prior - gain @ effects @ prior, rel=1e-6, abs=1e-9)


@settings(max_examples=20, deadline=None)
@given(seeds)
def test_without_a_likely_size_it_is_plain_weighted_least_squares(seed):
    """With sigmas of 1e5 the prior is nothing against 12 observations of 3 unknowns."""
    named, seen, effects, off, noise, _ = problem(seed, 3, 12, prior=1e5)
    plain = np.linalg.lstsq(effects / noise[:, None], off / noise, rcond=None)[0]
    assert estimate(named, seen).values == pytest.approx(plain, rel=1e-5, abs=1e-7)


@settings(max_examples=20, deadline=None)
@given(seeds, st.floats(-5.0, 5.0))
def test_twice_the_deviation_is_twice_the_cause(seed, factor):
    named, seen, *_ = problem(seed, 4, 3)
    scaled = [Observation(o.what, factor * o.deviation, o.sigma, o.on) for o in seen]
    assert estimate(named, scaled).values == pytest.approx(factor * estimate(named, seen).values, abs=1e-9)


def test_two_causes_of_one_value_share_it_by_their_variances():
    """3 mm seen exactly, sigmas 1 and 2 mm: 1/5 and 4/5 of it; left is sqrt(4/5) of the smaller sigma."""
    named = [Unknown("a", "mm", 1.0, ""), Unknown("b", "mm", 2.0, "")]
    found = estimate(named, [Observation("gap", 3.0, 1e-6, {"a": 1.0, "b": 1.0})])
    assert found.values == pytest.approx([0.6, 2.4])
    assert [one.sigmas for one in findings(found)] == pytest.approx([1.2, 0.6])
    assert findings(found)[0].name == "b"
    assert findings(found)[1].sigma == pytest.approx((4 / 5) ** 0.5, rel=1e-6)


def test_the_chance_is_that_of_the_normal_law():
    """One value at 1.96 sigma of prior and measuring together is exceeded in 5 % of all cases."""
    named = [Unknown("a", "mm", 3.0, "")]
    found = estimate(named, [Observation("gap", 1.959964 * 5.0, 4.0, {"a": 1.0})])
    assert found.chance == pytest.approx(0.05, abs=1e-6)
    assert found.misfits == pytest.approx([1.959964])


def test_what_no_value_depends_on_is_left_out_and_counts_as_nothing():
    named = [Unknown("a", "mm", 1.0, ""), Unknown("b", "mm", 1.0, "")]
    found = estimate(named, [Observation("gap", 1.0, 1.0, {"a": 1.0, "b": 0.0})])
    assert [u.name for u in found.unknowns] == ["a"]
    assert (found.value("a"), found.value("b")) == (pytest.approx(0.5), 0.0)


@pytest.mark.parametrize(
    ("sigma", "noise", "on", "message"),
    [
        (0.0, 1.0, "a", "standard deviation must be above 0"),
        (1.0, 0.0, "a", "standard deviation must be above 0"),
        (1.0, 1.0, "c", "'c', which is no unknown"),
    ],
)
def test_what_has_no_meaning_is_refused(sigma, noise, on, message):
    with pytest.raises(ValueError, match=message):
        estimate([Unknown("a", "mm", sigma, "")], [Observation("gap", 1.0, noise, {on: 1.0})])


def test_what_is_left_of_the_uncertainty_is_what_is_really_left():
    """2,000 mounts drawn from the prior and measured: errors over their sigma have variance 1 (standard error
    of it 0.03), and the chance is spread evenly (standard error of its mean 0.0065)."""
    named, seen, effects, _, noise, sigmas = problem(11, 5, 4)
    dice, errors, chances = np.random.default_rng(12), [], []
    for _ in range(2_000):
        truth = dice.normal(0.0, sigmas)
        off = effects @ truth + dice.normal(0.0, noise)
        drawn = [Observation(o.what, float(v), o.sigma, o.on) for o, v in zip(seen, off, strict=True)]
        found = estimate(named, drawn)
        errors.append((found.values - truth) / np.sqrt(np.diag(found.covariance)))
        chances.append(found.chance)
    assert np.var(errors, axis=0) == pytest.approx(np.ones(5), abs=0.13)
    assert np.mean(chances) == pytest.approx(0.5, abs=0.03)
