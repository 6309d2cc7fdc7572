import json

import pytest

from service.http.advice.batch import EXAMPLE
from tests.conftest import either_database

MAN = {
    "ref": "staff-1",
    "readings": [
        {"dimension": "chest_girth", "value": 36, "unit": "in"},
        {"dimension": "waist_girth", "value": 30, "unit": "in"},
        {"dimension": "stature", "value": 175, "unit": "cm"},
    ],
}
TALL = {"ref": "staff-2", "readings": [{"dimension": "stature", "value": 190, "unit": "cm"}], "age_years": 30}
ODD = {"ref": "staff-3", "readings": [{"dimension": "chest_girth", "value": 10, "unit": "in"}]}
LINES = {"Content-Type": "application/x-ndjson"}


def in_lines(question, *people):
    return "\n".join(json.dumps(each) for each in (question, *people)).encode()


def test_many_are_answered_as_one_by_one_in_their_order(staff):
    answers = staff.post("/v1/size-advice/batch", {"people": [TALL, MAN], "limit": 3}).body["answers"]
    assert ["staff-2", "staff-1"] == [answer["ref"] for answer in answers]
    for person, answer in zip((TALL, MAN), answers, strict=True):
        asked = {name: value for name, value in person.items() if name != "ref"}
        alone = staff.post("/v1/size-advice", asked | {"limit": 3}).body["plans"]
        shown = ("jacket", "trousers", "waistcoat", "expected_cost")
        assert [{name: plan[name] for name in shown} for plan in alone] == answer["plans"]


def test_whole_answers_are_those_of_one_by_one(staff):
    found = staff.post("/v1/size-advice/batch", {"people": [MAN, ODD, TALL], "limit": 2, "whole": True}).body["answers"]
    for person, answer in ((MAN, found[0]), (TALL, found[2])):
        asked = {name: value for name, value in person.items() if name != "ref"}
        alone = staff.post("/v1/size-advice", asked | {"limit": 2}).body
        assert alone | {"ref": person["ref"], "problem": None} == answer
    assert ([], "reading_out_of_bounds") == (found[1]["plans"], found[1]["problem"]["code"])


def test_whole_answers_are_given_to_a_thousand_at_once_and_no_more(staff):
    people = [MAN | {"ref": f"staff-{i}"} for i in range(1001)]
    answer = staff.post("/v1/size-advice/batch", {"people": people, "whole": True})
    assert (422, "/people") == (answer.status, answer.body["errors"][0]["pointer"])
    assert "1000" in answer.body["errors"][0]["detail"]


def test_one_mans_refusal_does_not_stop_the_others(staff):
    first, second = staff.post("/v1/size-advice/batch", {"people": [ODD, MAN]}).body["answers"]
    assert ([], "reading_out_of_bounds", "/readings/0/value") == (
        first["plans"],
        first["problem"]["code"],
        first["problem"]["pointer"],
    )
    assert ("36R", "30", None) == (
        second["plans"][0]["jacket"]["label"],
        second["plans"][0]["trousers"]["label"],
        second["problem"],
    )


def test_lines_go_in_and_come_out(staff):
    body = in_lines({"limit": 2}, MAN, TALL)
    document = staff.post("/v1/size-advice/batch", data=body, headers=LINES)
    streamed = staff.post("/v1/size-advice/batch", data=body, headers=LINES | {"Accept": "application/x-ndjson"})
    assert document.body["answers"] == [json.loads(line) for line in streamed.raw.splitlines()]


@pytest.mark.parametrize("body", [b"", b"[]\n", b'{"people": []}\n{}', b'{"limit": 1}\n{"ref": \n'])
def test_lines_that_are_no_question_and_people_are_refused(staff, body):
    answer = staff.post("/v1/size-advice/batch", data=body, headers=LINES)
    assert (400, "json_unreadable") == (answer.status, answer.body["code"])


def test_a_fault_points_to_its_man(staff):
    wrong = MAN | {"readings": [{"dimension": "chest_girth", "value": "81,5", "unit": "cm"}]}
    answer = staff.post("/v1/size-advice/batch", {"people": [MAN, wrong]})
    assert (422, "quantity_unreadable", ["/people/1/readings/0/value"]) == answer.problem


def test_nobody_and_too_many_are_refused(staff):
    assert (422, "field_wrong", ["/people"]) == staff.post("/v1/size-advice/batch", {"people": []}).problem
    many = {"people": [{"ref": "a", "readings": []}] * 10_001}
    assert (422, "field_wrong", ["/people"]) == staff.post("/v1/size-advice/batch", many).problem


@either_database
def test_ten_thousand_are_answered_in_one_call(staff):
    people = [MAN | {"ref": f"staff-{i}"} for i in range(10_000)]
    answers = staff.post("/v1/size-advice/batch", {"people": people}).body["answers"]
    assert [person["ref"] for person in people] == [answer["ref"] for answer in answers]
    assert {"36R"} == {answer["plans"][0]["jacket"]["label"] for answer in answers}


def test_the_example_of_the_contract_is_answered(staff):
    assert 200 == staff.post("/v1/size-advice/batch", EXAMPLE).status
