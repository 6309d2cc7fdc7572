"""Queries that say too much, too little, or what nobody asked for."""

import pytest

LISTS = ("/v1/orders", "/v1/disclosures", "/v1/events", "/v1/workroom/days", "/v1/charts", "/v1/alterations")


@pytest.mark.parametrize("path", LISTS)
@pytest.mark.parametrize(
    ("query", "pointer", "words"),
    [
        ("units=in&units=cm", "/units", "It is there more than once: which is meant? Send it once."),
        ("units=", "/units", "It has no value: leave it out, or say one."),
        ("unit=in", "/unit", "No such field is known here. Known are "),
    ],
)
def test_a_parameter_is_one_that_is_known_once_and_with_a_value(staff, path, query, pointer, words):
    answer = staff.get(path, query=query)
    assert (422, "field_wrong", [pointer]) == answer.problem
    assert answer.body["errors"][0]["detail"].startswith(words)


def test_a_name_that_is_not_known_is_answered_with_those_that_are(staff):
    answer = staff.get("/v1/workroom/days", query="form=2026-03-02")
    assert {"No such field is known here. Known are from, lang, to, units."} == {
        each["detail"] for each in answer.body["errors"] if each["pointer"] == "/form"
    }
    look = {"point": "front_closure", "seen": "boxy", "amount": 1}
    answer = staff.post("/v1/fit-checks", {"observations": [look]})
    said = {each["pointer"]: each["detail"] for each in answer.body["errors"]}
    assert "Known are point, seen, short, side, spare." in said["/observations/0/amount"], said


def test_all_that_is_wrong_with_how_a_query_is_written_is_said_at_once(staff):
    answer = staff.get("/v1/orders", query="state=ready&state=sewn&customer_ref=&limit=2")
    assert (422, "field_wrong", ["/state", "/customer_ref"]) == answer.problem
