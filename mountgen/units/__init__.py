"""Where units exist: text to numbers on the way in, numbers to text on the way out.

Inside mountgen a length is a float in mm, a speed in mm/s, an angle in degrees. People write `2 1/4 in`,
`5'-3 1/2"`, `3,2 mm`, `850 +/- 5 mm`; `grammar` reads that exactly (fractions, never floats), `kinds` says
which units a kind of quantity has and how large each is, exactly.

Words: a *quantity* is a number with or without a unit; a *measured* value is a float that remembers how
far it may be off. What could be read in two ways is refused with both readings, never guessed.

Decided: a mixed fraction may stand before any unit (`2 1/2 mm` is 2.5 mm); `1e3 mm` is 1000 mm; a band with
two different sides (`100 +1/-2 mm`) is refused with the even band to write instead; digits of other scripts
are refused; only lengths take +/-, because only what a tape measures has its uncertainty kept.
"""

from mountgen.units.errors import LONGEST_TEXT, UnitError, quoted
from mountgen.units.kinds import (
    ACCELERATION,
    ANGLE,
    FORCE,
    FREQUENCY,
    LENGTH,
    MASS,
    RESOLUTION,
    ROTATION,
    SPEED,
    STIFFNESS,
    TIME,
    TORQUE,
    Kind,
)
from mountgen.units.reading import (
    Measured,
    System,
    read_angle,
    read_length,
    read_quantity,
    read_speed,
    read_turns,
)
from mountgen.units.threads import read_thread
from mountgen.units.writing import format_length, format_speed

__all__ = [
    "ACCELERATION",
    "ANGLE",
    "FORCE",
    "FREQUENCY",
    "LENGTH",
    "LONGEST_TEXT",
    "MASS",
    "RESOLUTION",
    "ROTATION",
    "SPEED",
    "STIFFNESS",
    "TIME",
    "TORQUE",
    "Kind",
    "Measured",
    "System",
    "UnitError",
    "format_length",
    "format_speed",
    "quoted",
    "read_angle",
    "read_length",
    "read_quantity",
    "read_speed",
    "read_thread",
    "read_turns",
]
