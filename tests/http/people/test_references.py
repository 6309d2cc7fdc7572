"""References as tills print them, in bodies, queries, addresses and on paper."""

from unicodedata import normalize
from urllib.parse import quote
from uuid import uuid4

import pytest

from tests.http.sheets import SLIM, order, placed

PRINTED = ("2026/00123", "R#12", "Müller 3", "Ω 7", "O'Neill & Sons (2)", "customer:1+1@till")
NO_REFERENCE = ("", " a", "a ", "a  b", "a//b", "/a", "a/", ".", "..", "a/../b", "a/.", "a\tb", 'a"b', "<b>", "x" * 65)


def address(reference):
    return f"/v1/customers/{quote(reference, safe='')}"


@pytest.mark.parametrize("reference", PRINTED)
def test_a_customer_is_found_exported_and_erased_by_what_the_till_prints(staff, reference):
    recorded = staff.post("/v1/measurement-sets", {"readings": SLIM, "customer_ref": reference})
    assert (201, reference) == (recorded.status, recorded.body["customer_ref"])
    made = placed(staff, customer_ref=reference, sale_ref=reference)
    assert [made["id"]] == [
        each["id"] for each in staff.get("/v1/orders", query={"customer_ref": reference}).body["orders"]
    ]
    listed = staff.get(f"{address(reference)}/measurement-sets").body["measurement_sets"]
    assert [recorded.body["id"]] == [each["id"] for each in listed]
    exported = staff.get(f"{address(reference)}/export").body
    assert (reference, [made["id"]]) == (exported["customer_ref"], [each["id"] for each in exported["orders"]])
    ticket = staff.get(f"/v1/orders/{made['id']}/ticket", headers={"Accept": "application/json"}).body
    assert (reference, reference) == (ticket["customer_ref"], ticket["sale_ref"])
    assert {"measurement_sets": 1, "orders": 1} == {
        name: count for name, count in staff.ask("DELETE", address(reference)).body.items() if count
    }
    assert [] == staff.get(f"{address(reference)}/measurement-sets").body["measurement_sets"]


def test_an_accent_of_its_own_is_the_same_customer(staff):
    apart = normalize("NFD", "Müller 3")
    assert 201 == staff.post("/v1/measurement-sets", {"readings": SLIM, "customer_ref": apart}).status
    assert 1 == len(staff.get(f"{address('Müller 3')}/measurement-sets").body["measurement_sets"])
    assert 1 == len(staff.get(f"{address(apart)}/measurement-sets").body["measurement_sets"])


@pytest.mark.parametrize("reference", NO_REFERENCE)
def test_what_is_no_reference_is_refused_in_words_and_is_no_address(staff, reference):
    answer = staff.post("/v1/orders", order(customer_ref=reference), key=str(uuid4()))
    assert (422, "field_wrong") == (answer.status, answer.body["code"])
    (words,) = {error["detail"] for error in answer.body["errors"] if " long." not in error["detail"]} or {""}
    assert not words or words.startswith("Up to 64 letters, digits and . _")
    assert 404 == staff.get(f"{address(reference)}/measurement-sets").status
