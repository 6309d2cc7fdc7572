import pytest

from tests.http.sheets import moved, placed


def test_anybody_with_the_slip_sees_state_and_day_and_nothing_else(staff, stranger):
    slip = placed(staff, customer_ref="C-1", sale_ref="S-1")["collection_slip"]
    answer = stranger.get(slip["path"])
    assert {"state": "marked", "promised_for": "2026-03-03"} == answer.body


def test_it_follows_the_order(staff, stranger):
    order = placed(staff)
    moved(staff, order["id"], "accepted", 1)
    assert "accepted" == stranger.get(order["collection_slip"]["path"]).body["state"]


def test_its_token_cannot_be_guessed_from_another(staff):
    tokens = {placed(staff)["collection_slip"]["token"] for _ in range(5)}
    assert 5 == len(tokens)
    assert {32} == {len(token) for token in tokens}


@pytest.mark.parametrize("token", ["A" * 32, "1001", "A" * 15, "A" * 65, "..", "%00" * 16, "é" * 16])
def test_a_token_that_is_none_is_404(stranger, token):
    answer = stranger.get(f"/v1/collection-slips/{token}")
    assert (404, "not_found") == answer.problem[:2]


def test_an_order_cannot_be_seen_by_its_id_as_if_that_were_a_token(staff, stranger):
    assert 404 == stranger.get(f"/v1/collection-slips/{placed(staff)['id']}").status
