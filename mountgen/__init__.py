"""mountgen: from a line survey to a print-head mount that can be cut, drilled and set up."""

__version__ = "0.1.0"
