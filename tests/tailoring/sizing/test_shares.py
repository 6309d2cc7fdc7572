import numpy as np
import pytest

from service.tailoring.sizing.reach import least_of_pairs

ROWS, COLUMNS = np.random.default_rng(1).uniform(0, 9000, (2, 7, 30)).astype(np.float32)
NONE_SOLD = np.zeros((7, 7), dtype=np.bool_)


@pytest.mark.parametrize(
    "sold",
    [~NONE_SOLD, np.eye(7, dtype=np.bool_), np.tri(7, k=-1, dtype=np.bool_)],
    ids=["apart", "each its own", "some with none"],
)
@pytest.mark.parametrize("kind", [np.float32, np.float64])
def test_the_least_of_pairs_is_that_of_all_pairs_spelt_out_to_the_last_bit(sold, kind):
    rows, columns = ROWS.astype(kind), COLUMNS.astype(kind)
    at, other = np.nonzero(sold)
    spelt_out = (rows[at] + columns[other]).min(axis=0)
    found = least_of_pairs(rows, columns, sold)
    assert kind == found.dtype
    assert spelt_out.tolist() == found.tolist()


def test_where_no_pair_is_sold_nothing_is_within_reach():
    assert [np.inf] * 30 == least_of_pairs(ROWS, COLUMNS, NONE_SOLD).tolist()
