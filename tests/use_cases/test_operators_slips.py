"""What an operator may get wrong by hand is refused by its name; and two refusals that no caller's request comes to."""

from uuid import uuid4

import pytest

from service.tailoring.refusals import Refusal
from service.tailoring.work.finishing import heat_of_fibres
from service.tailoring.work.prices import PriceList
from service.use_cases.idempotency import IdempotentRequest
from service.use_cases.orders.order_groups import GroupAsked, place_group
from service.use_cases.people.retention import keep_readings_for
from service.use_cases.shop.keys import give_key, list_keys
from service.use_cases.shop.shops import open_shop
from tests.use_cases.asked import ASKED


def refusal_of(work):
    with pytest.raises(Refusal) as refused:
        work()
    return refused.value.code, refused.value.at


@pytest.mark.parametrize("zone", ["Europe/Nowhere", "../etc/passwd", ""])
def test_a_shop_is_of_a_time_zone_that_there_is(context, zone):
    assert ("time_zone_unknown", ("time_zone",)) == refusal_of(lambda: open_shop(context, "A", zone, PriceList()))


@pytest.mark.parametrize("scopes", [frozenset(), frozenset({"advise", "everything"})])
def test_a_key_is_for_scopes_that_there_are_and_for_one_at_least(context, shop, scopes):
    before = len(list_keys(context, shop.id))
    assert ("scope_unknown", ("scopes",)) == refusal_of(lambda: give_key(context, shop.id, "x", scopes))
    assert before == len(list_keys(context, shop.id))


def test_a_shop_that_is_not_there_has_no_keys_and_keeps_nothing(context):
    nowhere = str(uuid4())
    for work in (
        lambda: give_key(context, nowhere, "x", frozenset({"advise"})),
        lambda: list_keys(context, nowhere),
        lambda: keep_readings_for(context, nowhere, 30),
    ):
        assert ("shop_unknown", ("shop",)) == refusal_of(work)


@pytest.mark.parametrize("how_many", [0, 1])
def test_one_order_is_no_group(context, shop, how_many):
    asked = GroupAsked((ASKED,) * how_many, "fitter-1")
    key = IdempotentRequest("group", None, "")
    assert ("group_empty", ("orders",)) == refusal_of(lambda: place_group(context, shop.caller, asked, key, dict))


def test_a_fibre_that_is_not_known_is_pointed_at():
    assert ("fibre_unknown", (1,)) == refusal_of(lambda: heat_of_fibres(("wool", "moonlight")))
