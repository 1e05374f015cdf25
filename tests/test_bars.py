"""Bar plans: kerf and trim by hand, refusals, and what a plan must be whatever the orders."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mountgen.errors import StockError
from mountgen.fabrication.bars import BarOrder, plan_bars
from mountgen.shop.records import Saw, StockBar

SAW = Saw(kerf=4.0, trim=10.0)
PLAIN = Saw(kerf=0.0, trim=0.0)


def orders(*lengths, section="square 40"):
    return [BarOrder(f"P{i}", section, length, n) for i, (length, n) in enumerate(lengths, 1)]


def stock(*sizes, section="square 40"):
    return [StockBar(section, *(size if isinstance(size, tuple) else (size,))) for size in sizes]


def test_positions_from_the_datum_end():
    """Trim 10, pieces one kerf of 4 apart; the longest first."""
    (bar,) = plan_bars(orders((300, 1), (500, 2)), stock(2000), SAW).bars
    assert [(p.number, p.start, p.end) for p in bar.pieces] == [
        ("P2", 10, 510),
        ("P2", 514, 1014),
        ("P1", 1018, 1318),
    ]
    assert bar.cuts == (510, 1014, 1318)
    assert bar.cut_count == 4
    assert bar.remaining == 2000 - 1318 - 4
    assert bar.scrap == 10 + 3 * 4
    assert bar.share_used == pytest.approx(1300 / 2000)


@pytest.mark.parametrize(("over", "bars"), [(0.0, 1), (0.001, 2)])
def test_pieces_that_just_fill_a_bar(over, bars):
    """Usable 1000 - 2 x 10 = 980 = 2 x 488 + one kerf of 4; a micrometre more needs a second bar."""
    plan = plan_bars(orders((488, 1), (488 + over, 1)), stock(1000), SAW)
    assert len(plan.bars) == bars
    assert plan.proven_minimal


def test_one_piece_that_just_fills_a_bar():
    (bar,) = plan_bars(orders((980, 1)), stock(1000), SAW).bars
    assert (bar.pieces[0].start, bar.pieces[0].end, bar.cut_count) == (10, 990, 2)
    assert bar.remaining == 1000 - 990 - 4


def test_without_trim_a_whole_bar_needs_no_cut():
    (bar,) = plan_bars(orders((1000, 1)), stock(1000), Saw(4.0, 0.0)).bars
    assert (bar.cuts, bar.cut_count, bar.remaining, bar.scrap) == ((), 0, 0, 0)


def test_the_blade_takes_a_rest_that_is_thinner_than_itself():
    """980 - 978 = 2 mm are left before the trim; the cut takes them and 2 mm of the trim."""
    (bar,) = plan_bars(orders((978, 1)), stock(1000), SAW).bars
    assert bar.remaining == 1000 - 988 - 4


def test_a_piece_longer_than_any_bar():
    with pytest.raises(StockError, match=r"P1 is 980\.001 mm long.*1000 mm, takes 980 mm between"):
        plan_bars(orders((980.001, 1)), stock(500, 1000), SAW)


@pytest.mark.parametrize(
    ("ordered", "held", "said"),
    [
        ([], stock(1000), "no bar is ordered"),
        (orders((100, 1)), stock(1000, section="round 40"), "no stock bar of square 40"),
        (orders((100, 0)), stock(1000), "P1: length 100 mm and quantity 0"),
        (orders((0, 1)), stock(1000), "P1: length 0 mm"),
        (orders((1, 1)) + orders((1, 1), section="flat"), stock(1000), "P1 is of flat, not of square 40"),
        (orders((900, 3)), stock((1000, 2)), r"the stock \(2 of 1000 mm\) is too little for 3 pieces"),
        (orders((600, 3)), stock((1000, 2), (500, 9)), "is too little for 3 pieces of 1800 mm"),
    ],
)
def test_refused(ordered, held, said):
    with pytest.raises(StockError, match=said):
        plan_bars(ordered, held, SAW)


def test_every_reason_is_given_at_once():
    with pytest.raises(StockError, match=r"P1.*; P2"):
        plan_bars(orders((2000, 1), (3000, 1)), stock(1000), SAW)


def test_other_sections_stay_in_the_rack():
    held = [*stock(900, section="round 40"), *stock(2000)]
    assert [bar.stock_length for bar in plan_bars(orders((800, 1)), held, SAW).bars] == [2000]


def test_shorter_stock_is_taken_where_it_does():
    plan = plan_bars(orders((1400, 1), (700, 1)), stock(6000, 3000, 1500), PLAIN)
    assert [bar.stock_length for bar in plan.bars] == [3000]


def test_least_stock_goes_before_fewest_bars():
    """2 x 1500 = 3000 beats one bar of 4000; one of 3000 beats 2 x 1500."""
    pieces = orders((1500, 2))
    assert [b.stock_length for b in plan_bars(pieces, stock(4000, 1500), PLAIN).bars] == [1500, 1500]
    assert [b.stock_length for b in plan_bars(pieces, stock(3000, 1500), PLAIN).bars] == [3000]


def test_limited_stock_is_kept_even_where_the_simple_plan_misses():
    """5 + 4 + 4 + 3 + 2 + 2 = 20 = 2 x 10: longest first gives 5+4, 4+3+2 and no room for the last 2."""
    pieces = orders((5, 1), (4, 2), (3, 1), (2, 2))
    plan = plan_bars(pieces, stock((10, 2)), PLAIN)
    assert [bar.used for bar in plan.bars] == [10, 10]
    assert plan.proven_minimal


def test_worked_example():
    """The paper-mill example of encyclopaedias on cutting stock, from memory: 13 widths out of rolls of
    5600 mm need 73 rolls; 407160 mm in all are 72.7 of them."""
    widths = [1380, 1520, 1560, 1710, 1820, 1880, 1930, 2000, 2050, 2100, 2140, 2150, 2200]
    demand = [22, 25, 12, 14, 18, 18, 20, 10, 12, 14, 16, 18, 20]
    plan = plan_bars(orders(*zip(widths, demand, strict=True)), stock(5600), PLAIN)
    assert (len(plan.bars), plan.proven_minimal) == (73, True)


LENGTHS = st.floats(0.5, 900, allow_nan=False).map(lambda x: round(x, 3))
JOBS = st.lists(st.tuples(LENGTHS, st.integers(1, 4)), min_size=1, max_size=5)
SIZES = st.lists(st.floats(930, 6000).map(lambda x: round(x, 1)), min_size=1, max_size=4, unique=True)


@settings(max_examples=40, deadline=None)
@given(JOBS, SIZES, st.floats(0, 6).map(lambda x: round(x, 2)), st.floats(0, 15).map(lambda x: round(x, 2)))
def test_every_plan_keeps_the_rules(jobs, sizes, kerf, trim):
    """Each piece once, in the usable length, a kerf apart; lengths add up; the bound is below."""
    saw = Saw(kerf, trim)
    plan = plan_bars(orders(*jobs), stock(*sizes), saw)
    cut = sorted(p.number for bar in plan.bars for p in bar.pieces)
    assert cut == sorted(f"P{i}" for i, (_, n) in enumerate(jobs, 1) for _ in range(n))
    wanted = {f"P{i}": length for i, (length, _) in enumerate(jobs, 1)}
    for bar in plan.bars:
        assert bar.stock_length in sizes
        assert bar.pieces[0].start == trim
        assert bar.pieces[-1].end <= bar.stock_length - trim + 1e-6
        for a, b in zip(bar.pieces, bar.pieces[1:], strict=False):
            assert b.start - a.end == pytest.approx(kerf, abs=1e-6)
        assert all(p.length == pytest.approx(wanted[p.number], abs=1e-6) for p in bar.pieces)
        assert bar.used + bar.remaining + bar.scrap == pytest.approx(bar.stock_length)
    assert plan.bound <= plan.stock_length + 1e-6
    assert plan_bars(orders(*jobs), stock(*sizes), saw) == plan
