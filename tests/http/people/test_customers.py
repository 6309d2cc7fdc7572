"""A customer's own data: what is kept under his reference, given to him whole and erased whole."""

from uuid import UUID, uuid4

import pytest
from sqlalchemy import select

from service.storage.caller_tables import repeats
from service.storage.tables import metadata
from service.use_cases.people.retention import ANSWERS_KEPT, DISCLOSURES_KEPT, forget_expired, keep_readings_for
from tests.databases import one_quickly
from tests.http.sheets import SLIM, TROUSERS, WAIST_IN, WORN, moved, order, placed, reading
from tests.shops import open_house

pytestmark = one_quickly("file_url")
HIM, OTHER = "C-1042", "C-2001"
NOTHING = {"measurement_sets": 0, "fit_checks": 0, "orders": 0, "outcomes": 0}


def made_for(staff, ref):
    """What is kept of a customer: a set, a fit check of it, a fit check of his own and an order."""
    asked = {"readings": SLIM, "customer_ref": ref, "note": "likes a soft shoulder"}
    his_set = staff.post("/v1/measurement-sets", asked, key=f"s{ref[2:6]}").body["id"]
    check = {**WORN, "readings": [], "measurement_set": his_set}
    of_set = staff.post("/v1/fit-checks", check, key=f"f{ref[2:6]}").body["id"]
    own = staff.post("/v1/fit-checks", {**WORN, "customer_ref": ref}).body["id"]
    his_order = staff.post("/v1/orders", order(customer_ref=ref, sale_ref="S-1"), key=f"o{ref[2:6]}").body["id"]
    return {"set": his_set, "checks": {of_set, own}, "order": his_order}


@pytest.fixture(scope="module")
def _house(file_url):
    """A database of this file's own: what is forgotten is looked for in all shops, and every cell is read."""
    with open_house(file_url) as house:
        yield house


@pytest.fixture
def known(staff):
    """A customer and another man, each with the same."""
    return {ref: made_for(staff, ref) for ref in (HIM, OTHER)}


def export(staff, ref=HIM):
    return staff.get(f"/v1/customers/{ref}/export").body


def erase(staff, ref=HIM):
    return staff.ask("DELETE", f"/v1/customers/{ref}").body


def everything_kept(house):
    """Every cell of every table as text, by table."""
    with house.context.database.reading() as tx:
        return {
            name: str([tuple(row) for row in tx.execute(table.select())]) for name, table in metadata.tables.items()
        }


def test_a_customer_is_given_all_that_is_kept_of_him(staff, known):
    given = export(staff)
    assert (HIM, [known[HIM]["set"]], known[HIM]["checks"], [known[HIM]["order"]]) == (
        given["customer_ref"],
        [each["id"] for each in given["measurement_sets"]],
        {each["id"] for each in given["fit_checks"]},
        [each["id"] for each in given["orders"]],
    )
    assert 36.0 == given["measurement_sets"][0]["readings"][0]["size"]["value"]
    assert "likes a soft shoulder" == given["measurement_sets"][0]["note"]


def test_what_he_is_given_is_what_the_counter_is_shown(staff, known):
    given = export(staff)
    assert given["measurement_sets"] == [staff.get(f"/v1/measurement-sets/{known[HIM]['set']}").body]
    assert given["orders"] == [staff.get(f"/v1/orders/{known[HIM]['order']}").body]
    for check in given["fit_checks"]:
        assert check == staff.get(f"/v1/fit-checks/{check['id']}").body


def test_all_sets_are_given_and_not_the_newest_hundred(staff):
    for _ in range(103):
        staff.post("/v1/measurement-sets", {"readings": SLIM, "customer_ref": HIM})
    assert 103 == len(export(staff)["measurement_sets"])


def test_who_was_shown_his_readings_is_given_too(staff, known):
    staff.get(f"/v1/measurement-sets/{known[HIM]['set']}")
    assert ["export", "measurement_set", "advice"] == [each["what"] for each in export(staff)["disclosures"]]


def test_of_a_customer_who_is_not_known_nothing_is_given_and_nothing_erased(staff, known):
    given = export(staff, "C-nobody")
    assert ([], [], []) == (given["measurement_sets"], given["fit_checks"], given["orders"])
    assert NOTHING == erase(staff, "C-nobody")


def test_erasing_takes_his_readings_and_fit_checks(staff, known):
    assert {"measurement_sets": 1, "fit_checks": 2, "orders": 1, "outcomes": 0} == erase(staff)
    gone = [f"/v1/measurement-sets/{known[HIM]['set']}", *(f"/v1/fit-checks/{each}" for each in known[HIM]["checks"])]
    assert [404] * 3 == [staff.get(path).status for path in gone]
    given = export(staff)
    assert ([], [], []) == (given["measurement_sets"], given["fit_checks"], given["orders"])


def test_orders_stay_without_the_person(staff, known):
    path = f"/v1/orders/{known[HIM]['order']}"
    before = staff.get(path)
    erase(staff)
    after = staff.get(path)
    assert {**before.body, "customer_ref": None, "version": after.body.get("version")} == {
        **after.body,
        "version": after.body.get("version"),
    }
    assert before.headers["ETag"] != after.headers["ETag"]
    assert HIM not in staff.get(f"{path}/ticket").body
    assert {"orders": []} == staff.get("/v1/orders", query={"customer_ref": HIM}).body
    assert 200 == moved(staff, known[HIM]["order"], "accepted", after.headers["ETag"].strip('"')).status


def test_nothing_in_the_database_says_his_name_afterwards(house, staff):
    ref = f"C-{uuid4()}"
    made = made_for(staff, ref)
    export(staff, ref)
    named = {name for name, cells in everything_kept(house).items() if ref in cells}
    assert {"measurement_sets", "fit_checks", "orders", "repeats", "disclosures"} <= named
    erase(staff, ref)
    kept = everything_kept(house)
    assert [] == [name for name, cells in kept.items() if ref in cells]
    # Their ids stand only where it is kept that somebody was shown them.
    ids = [made["set"], *made["checks"]]
    assert {"disclosures"} >= {name for name, cells in kept.items() for its_id in ids if its_id in cells}


def test_the_other_man_keeps_everything(staff, known):
    before = export(staff, OTHER)
    erase(staff)
    after = export(staff, OTHER)
    for kind in ("measurement_sets", "fit_checks", "orders"):
        assert before[kind] == after[kind]


def test_the_same_reference_in_another_shop_is_another_man(staff, other_shop, known):
    them = other_shop.staff
    theirs = them.post("/v1/measurement-sets", {"readings": SLIM, "customer_ref": HIM}).body["id"]
    assert [] == [each for each in export(them)["measurement_sets"] if each["id"] == known[HIM]["set"]]
    erase(staff)
    assert 200 == them.get(f"/v1/measurement-sets/{theirs}").status


def test_erasing_twice_is_the_same_as_once(staff, known):
    erase(staff)
    assert NOTHING == erase(staff)


def test_a_retry_after_the_erasure_makes_no_second_order_and_says_no_name(staff, known):
    erase(staff)
    answer = staff.post("/v1/orders", order(customer_ref=HIM, sale_ref="S-1"), key=f"o{HIM[2:6]}")
    assert (201, "true", known[HIM]["order"], None) == (
        answer.status,
        answer.headers["Answer-Repeated"],
        answer.body["id"],
        answer.body["customer_ref"],
    )


def test_a_retry_after_the_erasure_does_not_bring_his_readings_back(staff, known):
    erase(staff)
    asked = {"readings": SLIM, "customer_ref": HIM, "note": "likes a soft shoulder"}
    # What a till sends anew is recorded anew; what was kept from before is not answered with.
    answer = staff.post("/v1/measurement-sets", asked, key=f"s{HIM[2:6]}")
    assert "Answer-Repeated" not in answer.headers
    assert known[HIM]["set"] != answer.body["id"]


def test_of_a_group_only_the_one_who_is_erased_loses_his_name(staff):
    usher = {"garments": [TROUSERS], "lines": [WAIST_IN], "to_be_pinned": True}
    ushers = [usher | {"customer_ref": ref} for ref in (HIM, OTHER)]
    asked = {"by": "fitter-1", "group_ref": "party-7", "orders": ushers}
    placed_then = staff.post("/v1/order-groups", asked, key="party").body
    erase(staff)
    expected = [None, OTHER]
    found = staff.get(f"/v1/order-groups/{placed_then['id']}").body
    again = staff.post("/v1/order-groups", asked, key="party")
    assert (expected, expected, "true") == (
        [each["customer_ref"] for each in found["orders"]],
        [each["customer_ref"] for each in again.body["orders"]],
        again.headers["Answer-Repeated"],
    )


@pytest.mark.parametrize("scope", ["measure", "advise", "order", "workroom"])
def test_only_the_admin_exports_and_erases(shop, scope):
    client = shop.client(scope)
    assert 403 == client.get(f"/v1/customers/{HIM}/export").status
    assert 403 == client.ask("DELETE", f"/v1/customers/{HIM}").status


# ---------------------------------------------------------------- who was shown what


def shown(staff, **query):
    return [
        (each["what"], each["customer_ref"]) for each in staff.get("/v1/disclosures", query=query).body["disclosures"]
    ]


def test_every_look_at_what_was_recorded_is_kept(staff, shop):
    his_set = staff.post("/v1/measurement-sets", {"readings": SLIM, "customer_ref": HIM}).body["id"]
    check = staff.post("/v1/fit-checks", {**WORN, "customer_ref": HIM}).body["id"]
    assert [] == shown(staff)
    looks = [
        (lambda: staff.get(f"/v1/measurement-sets/{his_set}"), "measurement_set"),
        (lambda: staff.get(f"/v1/customers/{HIM}/measurement-sets"), "measurement_sets"),
        (lambda: staff.get(f"/v1/fit-checks/{check}"), "fit_check"),
        (lambda: staff.post("/v1/size-advice", {"measurement_set": his_set}), "advice"),
        (lambda: export(staff), "export"),
    ]
    for look, _ in looks:
        look()
    assert [(what, HIM) for _, what in reversed(looks)] == shown(staff)


def test_it_is_kept_by_which_key_and_when(shop, clock):
    his_set = shop.staff.post("/v1/measurement-sets", {"readings": SLIM, "customer_ref": HIM}).body["id"]
    clock.advance(hours=3)
    shop.client("measure").get(f"/v1/measurement-sets/{his_set}")
    (look,) = shop.staff.get("/v1/disclosures").body["disclosures"]
    assert ("test", his_set, clock.now().isoformat()) == (look["key_name"], look["thing"], look["at"])
    assert UUID(look["key"]) != UUID(shop.caller.key_id)


def test_looking_for_what_is_not_there_shows_nothing_and_keeps_nothing(staff):
    staff.get("/v1/measurement-sets/00000000-0000-4000-8000-000000000000")
    staff.get(f"/v1/customers/{HIM}/measurement-sets")
    assert [] == shown(staff)


def test_disclosures_come_in_pages_and_by_customer(staff, known):
    for _ in range(3):
        export(staff)
        export(staff, OTHER)
    assert [("export", HIM)] * 3 == [each for each in shown(staff, customer_ref=HIM) if each[0] == "export"]
    first = staff.get("/v1/disclosures", query={"limit": 2})
    following = first.headers["Link"].partition("<")[2].partition(">")[0]
    second = staff.get(following)
    assert (
        first.body["disclosures"] + second.body["disclosures"]
        == staff.get("/v1/disclosures", query={"limit": 4}).body["disclosures"]
    )


def test_that_he_was_erased_is_kept_and_of_whom_is_not(staff, known):
    export(staff)
    erase(staff)
    assert "erasure" == shown(staff)[0][0]
    assert HIM not in [ref for _, ref in shown(staff)]


# ---------------------------------------------------------------- kept for long enough


def test_what_was_read_is_forgotten_in_its_time(house, staff, shop, clock):
    keep_readings_for(house.context, shop.id, 90)
    old = staff.post("/v1/measurement-sets", {"readings": SLIM, "customer_ref": HIM}, key="old").body["id"]
    old_check = staff.post("/v1/fit-checks", {**WORN, "customer_ref": HIM}).body["id"]
    clock.advance(days=60)
    new = staff.post("/v1/measurement-sets", {"readings": SLIM, "customer_ref": HIM}).body["id"]
    clock.advance(days=30)
    assert 200 == staff.get(f"/v1/measurement-sets/{old}").status
    forget_expired(house.context)
    assert 200 == staff.get(f"/v1/measurement-sets/{old}").status
    clock.advance(seconds=1)
    forget_expired(house.context)
    assert (404, 404, 200) == (
        staff.get(f"/v1/measurement-sets/{old}").status,
        staff.get(f"/v1/fit-checks/{old_check}").status,
        staff.get(f"/v1/measurement-sets/{new}").status,
    )


def test_much_is_forgotten_a_few_rows_at_a_time(house, staff, shop, clock, monkeypatch):
    monkeypatch.setattr("service.use_cases.people.retention._ROWS_AT_A_TIME", 2)
    keep_readings_for(house.context, shop.id, 20)
    for nth in range(5):
        staff.post("/v1/measurement-sets", {"readings": SLIM, "customer_ref": HIM}, key=f"till-{nth}")
    clock.advance(days=20, seconds=1)
    kept = staff.post("/v1/measurement-sets", {"readings": SLIM, "customer_ref": HIM}, key="kept").body["id"]
    forgotten = forget_expired(house.context)
    assert forgotten.measurement_sets >= 5
    assert [kept] == [
        each["id"] for each in staff.get(f"/v1/customers/{HIM}/measurement-sets").body["measurement_sets"]
    ]
    # The answers that told of them are not kept for longer than they.
    with house.context.database.reading() as tx:
        assert ["kept"] == tx.execute(select(repeats.c.key).where(repeats.c.shop_id == shop.id)).scalars().all()


def test_each_shop_keeps_for_as_long_as_it_said(house, staff, shop, other_shop, clock):
    keep_readings_for(house.context, shop.id, 30)
    ours, theirs = (
        client.post("/v1/measurement-sets", {"readings": SLIM}).body["id"] for client in (staff, other_shop.staff)
    )
    clock.advance(days=31)
    forget_expired(house.context)
    assert 404 == staff.get(f"/v1/measurement-sets/{ours}").status
    assert 200 == other_shop.staff.get(f"/v1/measurement-sets/{theirs}").status


def test_orders_are_not_forgotten(house, staff, clock):
    filed = placed(staff, customer_ref=HIM)
    clock.advance(days=4000)
    forget_expired(house.context)
    assert HIM == staff.get(f"/v1/orders/{filed['id']}").body["customer_ref"]


def test_an_answer_for_retries_is_kept_for_a_month(house, staff, clock):
    asked = {"readings": [reading("stature", 175, "cm")]}
    first = staff.post("/v1/measurement-sets", asked, key="till-7").body["id"]
    clock.time += ANSWERS_KEPT
    forget_expired(house.context)
    assert first == staff.post("/v1/measurement-sets", asked, key="till-7").body["id"]
    clock.advance(seconds=1)
    forget_expired(house.context)
    assert first != staff.post("/v1/measurement-sets", asked, key="till-7").body["id"]


def test_disclosures_are_forgotten_last(house, staff, clock):
    export(staff)
    clock.time += DISCLOSURES_KEPT
    forget_expired(house.context)
    assert [("export", HIM)] == shown(staff)
    clock.advance(seconds=1)
    forget_expired(house.context)
    assert [] == shown(staff)
