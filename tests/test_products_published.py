"""Lists in inches against the published inch."""

import pytest
from product_lists import read_text, sizes


def test_inches(tmp_path):
    """1 in = 25.4 mm, 1 ft = 304.8 mm: yard and pound agreement of 1959 (NIST SP 811, appendix B)."""
    read = read_text(tmp_path, "name,length_in,width [inch],height,gap\nA,1,2.5,1 ft,0.1\n", units="in")
    assert sizes(read)["A"] == pytest.approx((25.4, 63.5, 304.8, 2.54), rel=1e-15)
