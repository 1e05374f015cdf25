"""Loaded once by the process that long work is forked from: all libraries that such work needs, the CAD
kernel among them, and what a first study reads and computes. Every piece of work begins with that at hand."""

from mountgen.package import models, papers, writer
from mountgen.page import building, reporting
from mountgen.page.workers import warmed
from mountgen.remedies import advice
from mountgen.survey.starter import starter_survey

__all__ = ["advice", "building", "models", "papers", "reporting", "writer"]

warmed((starter_survey("near_side", "mm"),))
