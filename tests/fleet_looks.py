"""What workers do in tests of a fleet's runs: quick, and told by the survey's name what shall happen."""

from __future__ import annotations

import os
import signal
from pathlib import Path

from mountgen.fleet.records import Job, Outcome


def marked(job: Job) -> Outcome:
    """Leaves a mark for every look; names with 'raise' raise, with 'die' end the worker, with 'once' only the
    first time."""
    stem = Path(job.path).stem
    looks = Path(job.path).with_suffix(".looks")
    looks.write_text(looks.read_text() + "x" if looks.exists() else "x")
    if "raise" in stem:
        raise ZeroDivisionError("on purpose")
    if "die" in stem and not ("once" in stem and looks.read_text() != "x"):
        os.kill(os.getpid(), signal.SIGKILL)
    return Outcome(job.label, job.key, stem, "feasible")
