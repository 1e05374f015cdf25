"""What the installer and the operator set: the controller's numbers and each product's scale readings."""

from __future__ import annotations

from dataclasses import dataclass

MOST_SETTINGS = 5000
"""Products whose settings are written out one by one."""


@dataclass(frozen=True)
class ProductSetting:
    """One product's settings.

    `delay_mm` is the travel from the product's leading edge at the beam's trigger to the first printed
    column, `post_scale_mm` the underside of the cross joint above the post's lower end, `arm_scale_mm`
    the arm's operator end behind the joint's centre.
    """

    product: str
    delay_mm: float
    post_scale_mm: float
    arm_scale_mm: float
    tilt_deg: float
    standoff_mm: float


@dataclass(frozen=True)
class Setup:
    """The controller's numbers; encoder figures are None when the line runs at a fixed speed."""

    sensor_to_nozzle_mm: float
    encoder_divider: int | None
    counts_per_mm: float | None
    resolution_dpi: float
    print_length_error_percent: float
    flow: str
    speed_m_per_min: float
    product_count: int
    products: tuple[ProductSetting, ...]
    """The settings of all products, but of a long list only the first MOST_SETTINGS."""
