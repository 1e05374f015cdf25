"""Many surveys at once: a whole company's lines, checked or built, resumable, with one summary."""
