import numpy as np
import pytest

from service.tailoring.sizing.reach import best_of_pairs, least_at, least_of_pairs

ROWS, COLUMNS = np.random.default_rng(1).uniform(0, 9000, (2, 7, 30)).astype(np.float32)
NONE_SOLD = np.zeros((7, 7), dtype=np.bool_)


@pytest.mark.parametrize(
    "sold",
    [~NONE_SOLD, np.eye(7, dtype=np.bool_), np.tri(7, k=-1, dtype=np.bool_), np.indices((7, 7)).sum(axis=0) % 3 > 0],
    ids=["apart", "each its own", "some with none", "in several runs"],
)
@pytest.mark.parametrize("kind", [np.float32, np.float64])
def test_the_least_of_pairs_is_that_of_all_pairs_spelt_out_to_the_last_bit(sold, kind):
    rows, columns = ROWS.astype(kind), COLUMNS.astype(kind)
    at, other = np.nonzero(sold)
    spelt_out = (rows[at] + columns[other]).min(axis=0)
    found = least_of_pairs(rows, columns, sold)
    assert kind == found.dtype
    assert spelt_out.tolist() == found.tolist()


@pytest.mark.parametrize(
    "sold",
    [~NONE_SOLD, np.eye(7, dtype=np.bool_), np.indices((7, 7)).sum(axis=0) % 3 > 0],
    ids=["apart", "each its own", "in several runs"],
)
def test_the_best_of_pairs_is_the_first_of_the_cheapest_spelt_out(sold):
    # Whole numbers, so that pairs tie.
    rows, columns = ROWS // 3000, COLUMNS // 3000
    sums = np.where(sold[:, :, None], rows[:, None] + columns[None], np.inf).reshape(49, -1)
    row, column = best_of_pairs(rows, columns, sold)
    assert sums.argmin(axis=0).tolist() == (row * 7 + column).tolist()


@pytest.mark.parametrize("most", [1, 3, 60])
def test_the_least_few_are_those_of_all_sorted_first_ones_first(most):
    costs = np.array([*(ROWS[:, 0] // 3000), np.inf, np.inf, *(COLUMNS[0] // 3000)])
    assert np.argsort(costs, kind="stable")[:most].tolist() == least_at(costs, most).tolist()
    assert [] == least_at(costs[:0], most).tolist()


def test_where_no_pair_is_sold_nothing_is_within_reach():
    assert [np.inf] * 30 == least_of_pairs(ROWS, COLUMNS, NONE_SOLD).tolist()
