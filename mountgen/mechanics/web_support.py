"""A rail's web as the support of a frame: what `plates` says of a patch, in the words of `frame`.

In the world frame the rail runs along x, its web's normal is y and its height z. The web yields square to
itself and turns about x (tilt) and z (swing); in its own plane it is rigid.
"""

from __future__ import annotations

import math

from mountgen.mechanics.frame import Support
from mountgen.mechanics.plates import PatchResponse


def web_support(node: str, response: PatchResponse) -> Support:
    """The springs on which a bracket's foot stands, at the centre of its patch.

    Each stiffness is that under its own load alone; that a push on a patch off the web's middle also tilts it
    is left out, so the web counts as a little too soft or stiff there. Source: `plates.patch_response`.

    Args:
        node: of the frame, at the patch's centre.
        response: of the web at that patch.
    """
    push, tilt, swing = (1 / float(give) for give in response.flexibility.diagonal())
    return Support(node, (math.inf, push, math.inf, tilt, math.inf, swing))
