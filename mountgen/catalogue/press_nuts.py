"""Press nuts: threaded inserts pressed into a plate, so that no nut has to be held.

Sizes are generic (common practice for self-clinching nuts of this thread, from memory): order any make
with the same hole, and drill to that make's own hole size when it differs.
"""

from __future__ import annotations

from mountgen.geometry import Placement
from mountgen.shapes import Cylinder, Shape

PRESS_NUT_HOLE = 8.75
"""mm; hole in the plate for M6."""

PRESS_NUT_BODY = 11.0
"""mm; outside diameter for M6."""

PRESS_NUT_HEIGHT = 4.1
"""mm; how far it stands out of the plate, M6."""

PRESS_NUT_SHANK = 1.4
"""mm; how deep its shank sits in the plate, M6: for plates of 1.4 mm and more."""

PRESS_NUT_MASS = 0.0022
"""kg, M6."""


def press_nut_shape(thread_diameter: float) -> Shape:
    """Origin on the plate's face, body along +z, shank in the plate along -z."""
    whole = PRESS_NUT_HEIGHT + PRESS_NUT_SHANK
    low = Placement((0.0, 0.0, -PRESS_NUT_SHANK))
    body = Cylinder(PRESS_NUT_BODY, PRESS_NUT_HEIGHT)
    shank = Cylinder(PRESS_NUT_HOLE, whole, low)
    return Shape((body, shank), (Cylinder(thread_diameter, whole, low),))
