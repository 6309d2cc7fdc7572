"""An export of any size leaves page by page, and is a whole document however it ends."""

import orjson
import pytest
from sqlalchemy import delete, insert, select, update

from service.storage.tables import measurement_sets
from service.use_cases.shop.keys import give_key
from tests.http.sheets import SLIM, order

REF = "C-1"
PAGE = 50


@pytest.fixture
def many(house, shop, staff):
    """A customer with two pages of sets and a half, some of one moment; their ids."""
    staff.post("/v1/measurement-sets", {"readings": SLIM[:1], "customer_ref": REF})
    with house.context.database.writing() as tx:
        theirs = select(measurement_sets).where(measurement_sets.c.shop_id == shop.id)
        row = tx.execute(theirs).mappings().one()
        ids = [row["id"], *(house.context.new_id() for _ in range(PAGE * 5 // 2 - 1))]
        tx.execute(insert(measurement_sets), [{**row, "id": each} for each in ids[1:]])
        # All of one moment but the last twenty.
        late = house.clock.now()
        house.clock.advance(hours=1)
        tx.execute(update(measurement_sets).where(measurement_sets.c.id.in_(ids[:20])).values(recorded_at=late))
    return ids


def asked_for(house, shop):
    """The answer as it begins to leave."""
    key = give_key(house.context, shop.id, "admin", frozenset({"admin"}))
    headers = {"Authorization": f"Bearer {key}"}
    return house.contract.app.test_client().get(f"/v1/customers/{REF}/export", headers=headers)


def test_every_set_is_there_once_newest_first(staff, many):
    document = staff.get(f"/v1/customers/{REF}/export").body
    shown = [(each["recorded_at"], each["id"]) for each in document["measurement_sets"]]
    assert sorted(many) == sorted(key for _, key in shown)
    times = [at for at, _ in shown]
    assert sorted(times, reverse=True) == times
    assert document["complete"] is True


def test_it_leaves_in_pieces(house, shop, many):
    answer = asked_for(house, shop)
    pieces = list(answer.iter_encoded())
    whole = b"".join(pieces)
    assert 200 == answer.status_code
    # No piece is much more than a page of it.
    assert max(map(len, pieces)) < len(whole) / 2
    assert len(many) == len(orjson.loads(whole)["measurement_sets"])


def test_what_cannot_be_made_to_its_end_is_a_whole_document_that_says_so(house, shop, staff, many, caplog):
    staff.post("/v1/orders", order(customer_ref=REF), key="order")
    answer = asked_for(house, shop)
    leaving = answer.iter_encoded()
    pieces = [next(leaving) for _ in range(3)]
    with house.context.database.writing() as tx:
        # What comes next can be read by nobody.
        last = select(measurement_sets.c.id).where(measurement_sets.c.shop_id == shop.id)
        tx.execute(
            update(measurement_sets).where(measurement_sets.c.id.in_(last)).values(content={"sealed": "by another key"})
        )
    document = orjson.loads(b"".join([*pieces, *leaving]))
    with house.context.database.writing() as tx:
        # Nor can other tests of this database.
        tx.execute(delete(measurement_sets).where(measurement_sets.c.shop_id == shop.id))
    assert (PAGE, False) == (len(document["measurement_sets"]), document["complete"])
    assert [[], []] == [document["orders"], document["disclosures"]]
    assert "fault" in caplog.messages


def test_who_is_erased_while_it_leaves_is_not_shown_any_more(house, shop, staff, many):
    answer = asked_for(house, shop)
    leaving = answer.iter_encoded()
    pieces = [next(leaving) for _ in range(3)]
    staff.post("/v1/orders", order(customer_ref=REF), key="order")
    with house.context.database.writing() as tx:
        tx.execute(delete(measurement_sets).where(measurement_sets.c.shop_id == shop.id))
    document = orjson.loads(b"".join([*pieces, *leaving]))
    assert (PAGE, True) == (len(document["measurement_sets"]), document["complete"])
