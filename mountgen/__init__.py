"""mountgen: from a line survey to a print-head mount that can be cut, drilled and set up."""

import os

# Frames have some hundred ways of moving: threads for so little cost a hundred times what they save when the
# processor is busy. It counts only where numpy is not loaded yet; a user's own setting stays.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

__version__ = "0.1.0"
