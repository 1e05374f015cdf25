"""Does the mount go together at the first try, made and drilled as exactly as the survey says."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from mountgen.checks.records import Check, Subject, at_least
from mountgen.checks.scene import Scene
from mountgen.survey.records import Work
from mountgen.tolerance.installation import Yard, installed
from mountgen.tolerance.records import Fit

MONTE_CARLO = "Monte Carlo of all deviations (JCGM 101:2008); 99.5 % at the first try: rule of this project"
LEAST_SHARE, USUAL_SHARE = 99.5, 99.6
"""% of mounts that go together without a file: fewer fails, fewer than usual is tight."""
DRILLED = (0.8, 0.6, 0.5, 0.4, 0.3, 0.2)
"""mm; limits of hand drilling that are tried, down to a bushed template."""
CUT = (0.2, 0.1, 0.05)
"""mm; limits of cutting that are tried, down to what a laser keeps."""


def checks(scene: Scene) -> Iterator[Check]:
    fit = scene.fit
    least = fit.joints[0]
    title = (
        f"mounts that go together at the first try, of {fit.samples} made and drilled as exactly as said "
        f"({least.name} would fail first, {100 * (1 - least.share):.2f} %)"
    )
    subject = Subject("first_time_fit", title, "%", MONTE_CARLO)
    value = 100 * fit.share
    remedy = "" if value >= USUAL_SHARE else _remedy(scene, fit)
    yield at_least(subject, value, LEAST_SHARE, remedy, USUAL_SHARE - LEAST_SHARE)


def _remedy(scene: Scene, fit: Fit) -> str:
    """The coarsest drilling or cutting with which this mount would go together, found by trying."""
    work = scene.survey.work
    for limit in DRILLED:
        if limit < work.drill and _is_enough(scene, replace(work, drill=limit)):
            return f"drill the rail's holes to +/- {limit:g} mm, with a bushed template (tried)"
    for limit in CUT:
        if (work.cut is None or limit < work.cut) and _is_enough(scene, replace(work, cut=limit)):
            return f"cut holes to +/- {limit:g} mm of their places (tried)"
    return f"drill and cut more exactly, for {fit.joints[0].name} first: neither alone is enough"


def _is_enough(scene: Scene, work: Work) -> bool:
    yard = Yard(replace(scene.survey, work=work), scene.layout, scene.catalogue)
    return 100 * installed(yard).share >= USUAL_SHARE
