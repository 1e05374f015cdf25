"""The proportions and clearances that the layout keeps, each named once, in millimetres.

Those marked *rule of this project* are our own choices; change them here and everything follows.
"""

from __future__ import annotations

SHEET = "steel-s235"
"""Material of the made sheet parts."""

BEND_RADIUS_RATIO = 1.0
"""Inside bend radius / thickness: above the least that mild steel stands (common practice)."""

SCREW = "M6"
"""One size wherever strength allows: M6 socket screws take a 5 mm key (ISO 4762, common practice)."""

EDGE = 10.0
"""Bolt centre to plate edge: 1.5 hole diameters of M6, above the 1.2 of EN 1993-1-8 Table 3.3."""

CORNER = 5.0
"""Outside corners of plates are rounded by this (common practice: no sharp corners in reach)."""

CLEAR = 5.0
"""Least gap between a part of the mount and anything it must not touch (rule of this project)."""

PRODUCT_CLEAR = 10.0
"""Least gap between the swept product and every part but nozzle plate and shoe (rule of this project)."""

POST_CLEAR = 10.0
"""Post face to the outermost face of the rail: room for axle ends and screw heads (rule of this project)."""

PIVOT_EDGE = 13.0
"""Pivot centre to the front edge of ear and swing plate."""

PIVOT_BEHIND_FACE = 28.0
"""Pivot behind the nozzle face: the nearer, the less the nozzle moves when it is tilted."""

HEAD_GAP = 10.0
"""Head's side to the swing plate: press nut (4.1), screw tip and air."""

LOCK_RADIUS = 36.0
"""Pivot to locking screw where the head is deep enough."""

SHOE_PROUD = 1.0
"""How far the lead-in shoe stands in front of the nozzle plate (slightly proud)."""

SHOE_GAP = 1.0
"""Head's upstream side to the shoe."""

TAB_EDGE = 8.0
"""Screws of shoe and eye arm to the tab's edge: 1.2 hole diameters of M6."""

TAB_HOLE_ROOM = 3.5
"""The same screws' hole edge and air; what HOLE_TO_BEND asks to the shoe's bend comes on top."""

LOCK_HOLE_ROOM = 4.7
"""Half a press nut's hole and air; what HOLE_TO_BEND asks to the swing plate's
bend comes on top."""

HOLE_TO_BEND = 3.2
"""Hole's edge to the bend's tangent line, in thicknesses: clear of a die of up to 8.4 t, of which a bend of
radius t takes up 1.04 t on either side (common practice, as in `sheet.rules`)."""

LIP_RADIUS = 6.0
"""Inside radius of the shoe's lip: a rounded lead-in."""

EYE_TRAVEL = 20.0
"""Length of adjustment of the photo-eye along the flow."""

TYPICAL_EYE_DISTANCE = 57.15
"""2 1/4 in from beam to nozzles is typical of a small mount (common practice)."""

SETTING_MARGIN = 15.0
"""Travel kept in hand beyond the extreme settings."""

LEVELLING_BANDS = 2.0
"""Travel of the rail angle's slots over the band of the rail height's uncertainty, at least."""

LONGEST_POST = 1000.0
"""A post on a rail is no longer than this (rule of this project)."""

LONGEST_STAND = 1600.0
"""A stand's post is no longer than this (rule of this project)."""

LONGEST_ARM = 800.0
"""An arm longer than this is another kind of mount (rule of this project)."""

LONGEST_BEAM = 2000.0
"""A bridge's beam longer than this asks for a frame of its own, not for a line's side rails (rule of this
project)."""

TALLEST_LEG = 130.0
"""The rail angle's height is not taken larger than this."""

BACKING_BELOW = 3.0
"""Behind a web thinner than this there is room for a backing plate, needed or not (rule of this project)."""

BACKING_THICKNESS = 3.0

TNUT_END = 12.0
"""Centre of a T-nut to the end of its bar."""

FREQUENCY_RATIO = 1.4
"""First natural frequency / excitation: out of the amplified range (common practice)."""

LOWEST_FREQUENCY = 15.0
"""Hz; below it a mount visibly shakes when touched (rule of this project)."""

CROSS_TIES_APART = 500.0
"""mm between a bed's cross members, which keep its side rails upright (common practice: 400 to 600)."""

SAG_SHARE = 0.25
"""Share of the best band's nearer half that the change of sag between settings may take up (ditto)."""

GRAVITY = 9.81
"""m/s2."""

WASHER = 1.6
"""mm; thickness of an ISO 7089 washer for M6, used as the spacer of the encoder's pivot."""

AUXILIARY = 3.0
"""mm; thickness of the plates that carry little."""

EYE_NEARER = 1.0
"""mm of the photo-eye's travel that lead nearer to the nozzles; the rest leads away."""

FLAT_EYE_TRAVEL = 6.0
"""Length of adjustment of a flat photo-eye's arm: as much as the head's own screws leave room for."""

FLAT_EYE_EDGE = 6.0
"""mm; fixing hole of a flat photo-eye to the edge of its flange, at least: 1.3 hole diameters of M4."""

PIN = 5.0
"""mm; dowel pin of the tilt stops."""

ENCODER_BRACKET_HALF = 24.0
"""mm; half the height of the encoder bracket."""

BOLT_BESIDE = 7.5
"""mm; side of a bar to the bolt beside it: half a washer and air."""

KEY_ROOM = 36.0
"""mm of straight room in front of a screw's head for a hexagon key."""

HOLE_AIR = 2.0
"""mm from a washer on the rail to an axle or a keepout."""

STOP_HALF = 13.0
"""mm; half the height of the arm stop: its T-nut keeps clear of the cross joint's."""

PLUMB_TRAVEL = 2.0
"""mm either way in the post leg's lower slot, to set the post plumb."""

CONTROLLER_EARS = 25.0
"""mm that the controller's bracket reaches above and below the controller, for its two screws."""

CONTROLLER_SHEET = 2.0
"""mm; thickness of the controller's bracket: thin, so that its bend stays within the post's width."""
