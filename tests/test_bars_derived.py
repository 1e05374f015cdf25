"""Bar plans against every possible plan of small jobs, listed one by one."""

from functools import cache
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mountgen.errors import StockError
from mountgen.fabrication import bars
from mountgen.fabrication.bars import BarOrder, plan_bars
from mountgen.fabrication.bars_columns import best_plan
from mountgen.shop.records import Saw, StockBar


def least(demand, stock, saw):
    """(stock length, bars) of the best plan, or None: every filling of every next bar is tried."""
    lengths = tuple(length for length, _ in demand)
    sizes = tuple(size for size, _ in stock)

    @cache
    def rest(left, bars_left):
        if not any(left):
            return (0, 0)
        found = None
        for k, size in enumerate(sizes):
            if bars_left[k] == 0:
                continue
            fewer = tuple(n - (i == k) for i, n in enumerate(bars_left))
            for held in product(*(range(n + 1) for n in left)):
                pieces = sum(held)
                used = sum(n * length for n, length in zip(held, lengths, strict=True))
                if not pieces or used + (pieces - 1) * saw.kerf > size - 2 * saw.trim + 1e-9:
                    continue
                after = rest(tuple(a - b for a, b in zip(left, held, strict=True)), fewer)
                if after is not None:
                    cost = (after[0] + size, after[1] + 1)
                    found = cost if found is None else min(found, cost)
        return found

    count = sum(n for _, n in demand)
    return rest(tuple(n for _, n in demand), tuple(count if q is None else q for _, q in stock))


DEMANDS = st.lists(st.tuples(st.integers(5, 60), st.integers(1, 3)), min_size=1, max_size=4)
STOCKS = st.lists(
    st.tuples(st.integers(65, 130), st.one_of(st.none(), st.integers(1, 3))), min_size=1, max_size=3,
    unique_by=lambda pair: pair[0],
)  # fmt: skip
SAWS = st.builds(Saw, st.sampled_from([0.0, 1.0, 2.5]), st.sampled_from([0.0, 1.5]))


def planned(demand, stock, saw):
    orders = [BarOrder(f"P{i}", "bar", float(length), n) for i, (length, n) in enumerate(demand)]
    try:
        return plan_bars(orders, [StockBar("bar", float(size), q) for size, q in stock], saw)
    except StockError:
        return None


def compare(demand, stock, saw):
    plan, best = planned(demand, stock, saw), least(tuple(demand), tuple(stock), saw)
    if best is None:
        assert plan is None
    else:
        assert (plan.stock_length, len(plan.bars)) == best
        assert plan.proven_minimal
        assert plan.bound == pytest.approx(plan.stock_length)


@settings(max_examples=60, deadline=None)
@given(DEMANDS, STOCKS, SAWS)
def test_no_listed_plan_uses_less(demand, stock, saw):
    compare(demand, stock, saw)


@settings(max_examples=20, deadline=None)
@given(DEMANDS, STOCKS, SAWS)
def test_no_listed_plan_uses_less_than_column_generation(demand, stock, saw):
    """The same without the quick plan, which settles most small jobs."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(bars, "_solved", lambda problem: best_plan(problem, None))
        compare(demand, stock, saw)
