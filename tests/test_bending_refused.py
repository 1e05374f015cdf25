"""What the bend rules refuse, and what their messages say."""

import pytest

from mountgen.mechanics.bending import Din6935, KFactor, bend_deduction, setback


@pytest.mark.parametrize("k", [0.0, -0.1, 0.51, 2.0, float("nan")])
def test_k_factor_out_of_range(k):
    with pytest.raises(ValueError, match=r"K-factor .* 0 < K <= 0.5"):
        KFactor(k)


def test_k_factor_half_is_the_middle_of_the_sheet():
    assert KFactor(0.5).allowance(2.0, 0.0, 90) == pytest.approx(1.5707963)


@pytest.mark.parametrize("angle", [0, -90, 180, 270, float("nan")])
def test_angle_out_of_range(angle):
    for call in (KFactor(0.4).allowance, Din6935().allowance, setback):
        with pytest.raises(ValueError, match=r"bend angle .* between 0 and 180"):
            call(3.0, 3.0, angle)
    with pytest.raises(ValueError, match="bend angle"):
        bend_deduction(KFactor(0.4), 3.0, 3.0, angle)


def test_negative_radius_and_no_thickness():
    with pytest.raises(ValueError, match="inside radius -1 mm"):
        KFactor(0.4).allowance(3.0, -1.0, 90)
    with pytest.raises(ValueError, match="thickness 0 mm"):
        setback(0.0, 1.0, 90)


def test_din_6935_needs_a_radius():
    with pytest.raises(ValueError, match="above 0"):
        Din6935().allowance(3.0, 0.0, 90)
    with pytest.raises(ValueError, match=r"radius must be above 0\.15"):
        Din6935().allowance(3.0, 0.1, 90)


def test_rules_name_themselves():
    assert (KFactor(0.42).title, Din6935().title) == ("K-factor 0.42", "DIN 6935")
