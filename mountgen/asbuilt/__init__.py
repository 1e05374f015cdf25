"""A mount as it was installed: what was measured of it, what most likely differs, and what to set instead."""
