"""The kinds of quantities: which units each has, and the largest size that makes sense.

In a *symbol* capitals count, as in the SI (M is mega, never milli); a *word* may be written in any case.
Both name a unit of `UNITS`, or one over another.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

_POUND = Fraction(45_359_237, 100_000_000)
_POUND_FORCE = _POUND * Fraction(980_665, 100_000)
"""N. The pound under standard gravity of 9.80665 m/s2 (3rd CGPM, 1901): 4.4482216152605, exactly."""

UNITS: Mapping[str, tuple[str, Fraction]] = MappingProxyType(
    {
        **{"mm": ("length", Fraction(1)), "cm": ("length", Fraction(10)), "m": ("length", Fraction(1000))},
        **{"inch": ("length", Fraction(254, 10)), "foot": ("length", 12 * Fraction(254, 10))},
        **{"s": ("time", Fraction(1)), "min": ("time", Fraction(60))},
        **{"ms": ("time", Fraction(1, 1000)), "us": ("time", Fraction(1, 1_000_000))},
        **{"Hz": ("frequency", Fraction(1)), "kHz": ("frequency", Fraction(1000))},
        **{"deg": ("angle", Fraction(1)), "dot": ("count", Fraction(1))},
        **{"kg": ("mass", Fraction(1)), "g": ("mass", Fraction(1, 1000))},
        **{"lb": ("mass", _POUND), "oz": ("mass", _POUND / 16)},
        **{"N": ("force", Fraction(1)), "kN": ("force", Fraction(1000)), "lbf": ("force", _POUND_FORCE)},
        **{"N·m": ("torque", Fraction(1)), "N·cm": ("torque", Fraction(1, 100))},
        **{"N·mm": ("torque", Fraction(1, 1000)), "kN·m": ("torque", Fraction(1000))},
        **{"rad": ("radian", Fraction(1)), "turn": ("turn", Fraction(1)), "s²": ("time²", Fraction(1))},
        **{"g0": ("length/time²", Fraction(980_665, 100))},
        **{"lbf·in": ("torque", _POUND_FORCE * Fraction(254, 10_000))},
        **{"lbf·ft": ("torque", _POUND_FORCE * Fraction(3048, 10_000))},
    }
)
"""Each unit's dimension and size. International yard and pound agreement of 1959 (NIST SP 811, appendix B):
1 in is 25.4 mm and 1 lb is 0.45359237 kg, both exactly; an ounce is a 16th of a pound."""


@dataclass(frozen=True)
class Pair:
    """Two units that people write behind each other, such as feet and inches: the names of the larger and
    the smaller, and how many smaller ones the larger holds."""

    large: tuple[str, ...]
    small: tuple[str, ...]
    count: int


@dataclass(frozen=True, eq=False)
class Kind:
    """One kind of quantity. `largest` is in the unit `base`; `takes_band` tells whether +/- makes sense."""

    name: str
    symbols: Mapping[str, str]
    words: Mapping[str, str]
    base: str
    largest: int
    expected: str
    pair: Pair | None = None
    takes_band: bool = False

    def unit(self, name: str) -> str | None:
        """The unit of UNITS, or one over another, that `name` stands for."""
        return self.symbols.get(name) or self.words.get(name.lower())

    def respelt(self, name: str) -> str | None:
        """The symbol that is `name` but for capitals."""
        return next((symbol for symbol in self.symbols if symbol.lower() == name.lower()), None)

    def in_base(self, name: str) -> Fraction:
        """How many `base` one unit `name` is, exactly; the name must be a valid one."""
        unit = self.unit(name)
        assert unit is not None
        return factor(unit, self.base)


def factor(unit: str, base: str) -> Fraction:
    """How many `base` one `unit` is, exactly. Both are units of `UNITS`, or one of them over another."""
    (dimension, size), (base_dimension, base_size) = _resolved(unit), _resolved(base)
    if dimension != base_dimension:
        raise ValueError(f"{unit} is no multiple of {base}")
    return size / base_size


@cache
def _resolved(unit: str) -> tuple[str, Fraction]:
    """Dimension and size of 'mm' or 'm/min'."""
    above, _, below = unit.partition("/")
    dimension, size = UNITS[above]
    if not below:
        return dimension, size
    per, divisor = UNITS[below]
    return f"{dimension}/{per}", size / divisor


_FEET = ("'", "ft", "ft.", "foot", "feet")
_INCHES = ('"', "in", "in.", "inch", "inches")
_POUNDS = ("lb", "lb.", "lbs", "lbs.")
_OUNCES = ("oz", "oz.")


def _names(unit: str, names: tuple[str, ...]) -> dict[str, str]:
    return dict.fromkeys(names, unit)


LENGTH = Kind(
    name="length",
    symbols=MappingProxyType({"mm": "mm", "cm": "cm", "m": "m"}),
    words=MappingProxyType(_names("inch", _INCHES) | _names("foot", _FEET)),
    base="mm",
    largest=1_000_000,
    expected="a length such as 850 mm, 3,2 mm, 2 1/4 in or 850 +/- 5 mm (units: mm, cm, m, in, ft)",
    pair=Pair(_FEET, _INCHES, 12),
    takes_band=True,
)
"""No length of a packing line is longer than 1 km."""
SPEED = Kind(
    name="speed",
    symbols=MappingProxyType({unit: unit for unit in ("m/min", "m/s", "cm/s", "mm/s", "mm/min")}),
    words=MappingProxyType(
        {"in/s": "inch/s", "in/min": "inch/min", "ft/s": "foot/s"} | _names("foot/min", ("ft/min", "fpm"))
    ),
    base="mm/s",
    largest=100_000,
    expected="a speed with its unit, such as 30 m/min, 0.5 m/s or 100 ft/min",
)
"""No conveyor is faster than 100 m/s."""
ANGLE = Kind(
    name="angle",
    symbols=MappingProxyType({}),
    words=MappingProxyType({"deg": "deg", "°": "deg"}),
    base="deg",
    largest=360,
    expected="an angle in degrees, such as 1.5 or 1.5 deg",
)
MASS = Kind(
    name="mass",
    symbols=MappingProxyType({"kg": "kg", "g": "g"}),
    words=MappingProxyType(_names("lb", _POUNDS) | _names("oz", _OUNCES)),
    base="kg",
    largest=10_000,
    expected="a mass such as 1.2 kg, 450 g or 2 lb 3 oz (units: kg, g, lb, oz)",
    pair=Pair(_POUNDS, _OUNCES, 16),
)
FREQUENCY = Kind(
    name="frequency",
    symbols=MappingProxyType({"kHz": "kHz"}),
    words=MappingProxyType({"hz": "Hz"}),
    base="Hz",
    largest=100_000_000,
    expected="a frequency such as 7000 Hz or 7 kHz",
)
TIME = Kind(
    name="time",
    symbols=MappingProxyType({"s": "s", "ms": "ms", "µs": "us", "us": "us"}),
    words=MappingProxyType({}),
    base="s",
    largest=3_600,
    expected="a time such as 1 ms, 500 µs or 0.5 s",
)
RESOLUTION = Kind(
    name="resolution",
    symbols=MappingProxyType({"dots/mm": "dot/mm", "dots/cm": "dot/cm"}),
    words=MappingProxyType(_names("dot/inch", ("dpi", "dots/in", "dots/inch"))),
    base="dot/inch",
    largest=100_000,
    expected="a resolution such as 205 dpi or 8 dots/mm",
)
_POUND_INCHES = ("lbf·in", "in·lbf", "lb·in", "in·lb")
_POUND_FEET = ("lbf·ft", "ft·lbf", "lb·ft", "ft·lb")
TORQUE = Kind(
    name="torque",
    symbols=MappingProxyType({"N·m": "N·m", "Nm": "N·m", "N·cm": "N·cm", "Ncm": "N·cm"}),
    words=MappingProxyType(_names("lbf·in", _POUND_INCHES) | _names("lbf·ft", _POUND_FEET)),
    base="N·m",
    largest=10_000,
    expected="a torque such as 10 N·m, 7.5 lbf ft or 88 lbf in (units: N·m, N·cm, lbf·ft, lbf·in)",
)
"""Between the factors may stand a dot, a star, a hyphen or a space; in a torque a pound is a force."""
FORCE = Kind(
    name="force",
    symbols=MappingProxyType({"N": "N", "kN": "kN"}),
    words=MappingProxyType({"lbf": "lbf"}),
    base="N",
    largest=1_000_000,
    expected="a force such as 50 N, 1.2 kN or 11 lbf (units: N, kN, lbf)",
)
"""Not lb: that is a mass, and a kind that takes both would hide a wrong one."""
ACCELERATION = Kind(
    name="acceleration",
    symbols=MappingProxyType({"m/s²": "m/s²", "mm/s²": "mm/s²", "g": "g0"}),
    words=MappingProxyType({}),
    base="mm/s²",
    largest=10_000_000,
    expected="an acceleration such as 0.8 m/s2, 800 mm/s2 or 0.08 g",
)
"""g is standard gravity, 9.80665 m/s2 (3rd CGPM, 1901). s2, s^2 and s² are read alike."""
STIFFNESS = Kind(
    name="stiffness",
    symbols=MappingProxyType(
        {
            **{"N·m/rad": "N·m/rad", "Nm/rad": "N·m/rad", "kN·m/rad": "kN·m/rad", "kNm/rad": "kN·m/rad"},
            **{"N·mm/rad": "N·mm/rad", "Nmm/rad": "N·mm/rad"},
        }
    ),
    words=MappingProxyType(
        {f"{name}/rad": "lbf·ft/rad" for name in _POUND_FEET}
        | {f"{name}/rad": "lbf·in/rad" for name in _POUND_INCHES}
    ),
    base="N·mm/rad",
    largest=10**13,
    expected="a stiffness against turning such as 50000 N m/rad, 50 kN m/rad or 37000 lbf ft/rad",
)
"""Torque for each radian that a joint gives."""
ROTATION = Kind(
    name="speed of rotation",
    symbols=MappingProxyType({}),
    words=MappingProxyType(_names("turn/min", ("rpm", "r/min", "rev/min", "turns/min"))),
    base="turn/min",
    largest=1_000_000,
    expected="turns a minute, such as 1400 rpm or 1400 1/min",
)
