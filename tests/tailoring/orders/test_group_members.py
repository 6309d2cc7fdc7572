"""Who may join a group of orders."""

import pytest

from service.tailoring.orders.group_members import check_joinable
from service.tailoring.refusals import Refusal
from tests.papers.orders import an_order


def test_a_group_takes_members_until_it_is_full():
    one = an_order()
    check_joinable((one, one), 3)
    with pytest.raises(Refusal) as refused:
        check_joinable((one, one, one), 3)
    assert ("group_full", 3) == (refused.value.code, refused.value.facts["most"])
