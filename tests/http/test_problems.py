import ast
import re
from pathlib import Path

import orjson
import pytest

import service
from service.app import create_app
from service.http.api import BODY_MOST_BYTES
from service.http.refusals.words import WORDS
from service.settings import Settings
from service.tailoring.orders.order_states import _UNSAID
from service.tailoring.refusals import Refusal
from tests.client import Client, Contract
from tests.days import Clock
from tests.http.sheets import SLIM, named, order, placed
from tests.shops import new_desk

ROOMS = Path(service.__file__).parent
READING = b'{"readings": [{"dimension": "chest_girth", "value": %b, "unit": "in"}]}'


def refused_in(room):
    """Every code that a module refuses with, by its name."""
    found = set()
    for path in room.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and ast.unparse(node.func) in ("Refusal", "Refusal.together"):
                code = node.args[0]
                if isinstance(code, ast.Constant):
                    found.add(code.value)
    return found


def texts_in(path):
    return {
        node.value
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }


def test_every_code_that_is_refused_with_has_its_words():
    assert set() == (refused_in(ROOMS) | set(_UNSAID.values())) - set(WORDS)


def test_every_words_are_those_of_a_code_that_is_refused_with():
    of_the_framework = texts_in(ROOMS / "http" / "problems.py")
    assert set() == set(WORDS) - refused_in(ROOMS) - set(_UNSAID.values()) - of_the_framework


def test_every_code_has_a_title_a_sentence_and_the_status_of_a_refusal():
    statuses = {400, 401, 403, 404, 405, 406, 408, 409, 412, 413, 414, 415, 422, 428, 429, 431, 500, 501, 503}
    assert statuses == {words.status for words in WORDS.values()}
    assert [] == [code for code, words in WORDS.items() if not (words.title and words.detail)]


def test_a_problem_has_the_members_of_rfc_9457_and_a_stable_type(staff):
    answer = staff.post("/v1/size-advice", {"limit": 0})
    assert {
        "type": "/problems/field-wrong",
        "title": "The request is not right",
        "status": 422,
        "detail": "It is from 1 to 20.",
        "code": "field_wrong",
        "errors": [
            {
                "pointer": "/limit",
                "code": "field_wrong",
                "detail": "It is from 1 to 20.",
                "facts": {},
            }
        ],
    } == answer.body
    assert "application/problem+json" == answer.headers["Content-Type"]


def test_several_faults_are_told_at_once_each_with_its_pointer(staff):
    answer = staff.post(
        "/v1/size-advice", {"readings": [{"dimension": "hat", "value": 1, "unit": "in"}], "limit": 99, "wish": "wide"}
    )
    assert (422, "field_wrong", ["/limit", "/readings/0/dimension", "/wish"]) == (
        answer.status,
        answer.body["code"],
        sorted(error["pointer"] for error in answer.body["errors"]),
    )


def test_a_pointer_escapes_what_rfc_6901_says(staff):
    assert (422, "field_wrong", ["/a~1b~0c"]) == staff.post("/v1/size-advice", {"a/b~c": 1}).problem


@pytest.mark.parametrize(
    "path", ["/v1/size-advice", "/v1/measurement-sets", "/v1/fit-checks", "/v1/alteration-quotes", "/v1/orders"]
)
def test_unknown_fields_are_refused(staff, path):
    answer = staff.post(path, {"colour": "navy"}, key="k")
    assert 422 == answer.status
    assert "/colour" in [error["pointer"] for error in answer.body["errors"]]


def test_unknown_fields_deep_inside_are_refused(staff):
    answer = staff.post("/v1/size-advice", {"readings": [{**SLIM[0], "by": "eye"}]})
    assert (422, "field_wrong", ["/readings/0/by"]) == answer.problem


@pytest.mark.parametrize("path", ["/v1/orders", "/v1/charts", "/v1/fit-points", "/health/live"])
def test_unknown_parameters_are_refused(staff, path):
    assert (422, "field_wrong", ["/colour"]) == staff.get(path, query={"colour": "navy"}).problem


@pytest.mark.parametrize("number", [b"1e400", b"-1e400", b"1" + b"0" * 400, b"1" + b"0" * 30], ids=named)
def test_a_number_past_every_tape_is_refused_where_it_stands(staff, number):
    # It is JSON; no quantity, and no field, is that large.
    answer = staff.post("/v1/size-advice", data=READING % number)
    assert (422, ["/readings/0/value"]) == (answer.status, [each["pointer"] for each in answer.body["errors"]])


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (b"", "empty"),
        (b"{", ""),
        (b"readings=1", ""),
        (b'{"limit": 1,}', ""),
        (b"{'limit': 1}", ""),
        (b'{"limit": 1} x', ""),
        (b"\xff\xfe", "UTF-8"),
        (b'{"wish": "\xc3\x28"}', "UTF-8"),
        (b"\xef\xbb\xbf{}", ""),
        (b'{"wish": "\\ud800"}', "surrogate"),
        (b'{"charts": ["\\ud8e0000ab"]}', "surrogate"),
        (b'{"\\udc00": 1}', "surrogate"),
        (b'{"\\ud800": 1, "\\ud800": 2}', "is there twice"),
        (b'{"wish": "\x00"}', "control character"),
        (READING % b"NaN", ""),
        (READING % b"Infinity", ""),
        (READING % b"-Infinity", ""),
        (READING % b"+36", ""),
        (READING % b"036", ""),
        (READING % b".5", ""),
        (READING % b"0x24", ""),
        (b'{"limit": 1, "limit": 2}', "'limit' is there twice"),
        ("{}".encode("utf-16"), "UTF-8"),
        (
            b'{"readings": [{"dimension": "stature", "value": 175, "value": 176, "unit": "cm"}]}',
            "'value' is there twice",
        ),
        (b"[" * 100_000 + b"]" * 100_000, ""),
        (b'{"a":' * 1000 + b"1" + b"}" * 1000, "nested too deeply"),
        (b'{"a":' * 21 + b"1" + b"}" * 21, "nested too deeply, 20 levels are the most"),
    ],
    ids=named,
)
def test_a_body_that_is_no_json_is_told_so(staff, body, words):
    answer = staff.post("/v1/size-advice", data=body)
    assert (400, "json_unreadable", [""]) == answer.problem
    assert words in answer.body["detail"]


@pytest.mark.parametrize("body", [b"null", b"[]", b'"text"', b"17", b"true", b"[" * 20 + b"]" * 20])
def test_a_body_that_is_no_object_is_told_so(staff, body):
    answer = staff.post("/v1/size-advice", data=body)
    assert (422, "field_wrong", [""]) == answer.problem


def test_brackets_inside_of_text_nest_nothing(staff):
    answer = staff.post("/v1/measurement-sets", {"readings": SLIM, "note": '[{"' * 30 + "\\"})
    assert 201 == answer.status


@pytest.mark.parametrize(
    "media", [None, "text/plain", "application/x-www-form-urlencoded", "multipart/form-data", "application/xml"]
)
def test_a_body_of_another_type_is_415(staff, media):
    answer = staff.ask("POST", "/v1/size-advice", data=b"{}", headers={"Content-Type": media})
    assert (415, "not_json", [""]) == answer.problem


def test_json_with_its_charset_is_json(staff):
    answer = staff.ask(
        "POST", "/v1/size-advice", data=b"{}", headers={"Content-Type": "application/json;charset=utf-8"}
    )
    assert 200 == answer.status


def test_a_body_larger_than_the_limit_is_413_with_the_limit(staff):
    answer = staff.post("/v1/size-advice", data=b" " * BODY_MOST_BYTES + b"{}")
    assert (413, "too_large", []) == answer.problem
    assert str(BODY_MOST_BYTES) in answer.body["detail"]


def test_a_body_of_the_very_limit_is_read(staff):
    assert 200 == staff.post("/v1/size-advice", data=b" " * (BODY_MOST_BYTES - 2) + b"{}").status


def test_what_a_text_may_hold_is_not_what_it_escapes(staff):
    # Two halves of a pair are a letter; zeros inside of a text are no number.
    note = b'{"readings": [], "note": "\\ud83e\\uddf5 %b"}' % (b"0" * 30)
    answer = staff.post("/v1/measurement-sets", data=note)
    assert (422, ["/readings"]) == (answer.status, [each["pointer"] for each in answer.body["errors"]])


@pytest.mark.parametrize(
    ("headers", "status", "code"),
    [
        ({"Content-Encoding": "gzip"}, 415, "body_encoded"),
        ({"Content-Encoding": "identity, br"}, 415, "body_encoded"),
        ({"Transfer-Encoding": "gzip, chunked"}, 501, "transfer_coded"),
        ({"Transfer-Encoding": "chunked, identity"}, 501, "transfer_coded"),
    ],
    ids=named,
)
def test_a_body_that_is_packed_is_not_unpacked(staff, headers, status, code):
    answer = staff.post("/v1/size-advice", {}, headers=headers)
    assert (status, code, [""]) == answer.problem
    assert str(*headers.values()) in answer.body["detail"]
    assert ("identity" if status == 415 else None) == answer.headers.get("Accept-Encoding")


def test_a_body_that_says_it_is_not_packed_is_read(staff):
    assert 200 == staff.post("/v1/size-advice", {}, headers={"Content-Encoding": "identity"}).status


@pytest.mark.parametrize("path", ["/", "/v1", "/v1/", "/v1/nothing", "/v1/orders/", "/v1//orders", "/v1/orders/17"])
def test_an_address_that_is_none_is_404(staff, path):
    assert (404, "not_found", []) == staff.get(path).problem


@pytest.mark.parametrize(
    ("method", "path"), [("DELETE", "/v1/orders"), ("PUT", "/v1/charts"), ("GET", "/v1/fit-checks")]
)
def test_a_method_that_is_not_for_the_address_is_405_with_those_that_are(staff, method, path):
    answer = staff.ask(method, path)
    assert (405, "method_wrong", []) == answer.problem
    allowed = set(answer.headers["Allow"].split(", "))
    assert method not in allowed
    assert {"GET", "POST"} & allowed


def test_a_ticket_that_is_asked_for_as_something_else_is_406_with_what_there_is(staff):
    order_id = placed(staff)["id"]
    answer = staff.get(f"/v1/orders/{order_id}/ticket", headers={"Accept": "image/png"})
    assert (406, "not_acceptable", [""]) == answer.problem
    assert "text/plain" in answer.body["detail"]


def test_a_database_that_is_away_is_503_to_be_tried_again(nowhere_url):
    context = new_desk(nowhere_url, Clock())
    client = Client(Contract(create_app(Settings(), context)), "a.key")
    answer = client.post("/v1/orders", order(), key="k")
    assert (503, "database_away", []) == answer.problem
    assert "2" == answer.headers["Retry-After"]


def test_a_fault_of_ours_tells_nothing_of_itself(house, caplog):
    app = create_app(Settings(), house.context)
    app.add_url_rule("/broken", "broken", lambda: 1 // 0)
    answer = app.test_client().get("/broken")
    assert (500, "application/problem+json") == (answer.status_code, answer.mimetype)
    assert "fault" == orjson.loads(answer.data)["code"]
    assert b"division" not in answer.data
    assert "ZeroDivisionError" in caplog.text


MANY = {"piece": 0, "alteration": "hat", "basis": "none", "direction": "up", "side": "front", "note": 1, "rush": True}


def test_of_many_faults_fifty_are_listed_and_the_rest_counted(staff):
    answer = staff.post("/v1/orders", order(lines=[MANY] * 40), key="k")
    assert 422 == answer.status
    assert (50, 40 * len(MANY) - 50) == (len(answer.body["errors"]), answer.body["errors_not_listed"])
    assert "230 more are not listed" in answer.body["detail"]


def test_of_few_faults_all_are_listed(staff):
    answer = staff.post("/v1/orders", order(lines=[MANY] * 7), key="k")
    assert 7 * len(MANY) == len(answer.body["errors"])
    assert "errors_not_listed" not in answer.body


@pytest.mark.parametrize("letter", ["x", "\x01", "\N{SPOOL OF THREAD}", "~"], ids=named)
def test_a_fault_repeats_only_so_much_of_what_was_sent(staff, letter):
    names = {f"{at}{letter * 2000}": 0 for at in range(18)}
    answer = staff.post("/v1/orders", order(**names), key="k")
    assert 422 == answer.status
    assert len(answer.raw) <= 64 * 1024
    assert len(answer.body["errors"]) + answer.body.get("errors_not_listed", 0) == len(names)
    assert max(len(each["pointer"]) for each in answer.body["errors"]) < 500


def broken(house, *steps):
    app = create_app(Settings(), house.context)
    for step in steps:
        step(app)
    return app.test_client().get("/of-a-customer")


def test_a_fault_while_a_fault_is_written_is_one_more_and_names_no_address(house, caplog):
    def refuses():
        raise Refusal("chart_unknown", given="half a pair: \ud800")

    answer = broken(house, lambda app: app.add_url_rule("/of-a-customer", "endpoint", refuses))
    assert (500, "fault") == (answer.status_code, orjson.loads(answer.data)["code"])
    assert "of-a-customer" not in caplog.text
    assert "endpoint" in [record.operation for record in caplog.records]


def test_nor_does_a_fault_after_the_answer(house, caplog):
    answer = broken(house, lambda app: app.after_request(lambda _: 1 // 0))
    assert 500 == answer.status_code
    assert "ZeroDivisionError" in caplog.text
    assert "of-a-customer" not in caplog.text


def test_who_asks_is_judged_before_what_is_asked(stranger):
    assert (401, "key_missing", [""]) == stranger.post("/v1/orders", data=b"{").problem


def test_shape_is_judged_before_the_state_of_things(staff):
    missing = "/v1/orders/00000000-0000-4000-8000-000000000000/moves"
    seen = {"If-Match": '"1"'}
    assert 422 == staff.post(missing, {"to": "nowhere"}, headers=seen).status
    assert 428 == staff.post(missing, {"to": "accepted", "by": "tailor-1"}).status
    assert 404 == staff.post(missing, {"to": "accepted", "by": "tailor-1"}, headers=seen).status


def test_what_the_library_of_fields_says_is_said_in_plain_words(staff):
    asked = {"readings": "x", "limit": True, "age_years": None, "garments": ["shirt"], "wish": 3}
    answer = staff.post("/v1/size-advice", asked)
    said = {error["pointer"]: error["detail"] for error in answer.body["errors"]}
    assert "It is not a list." == said["/readings"]
    assert "It is one of: jacket, trousers, waistcoat." == said["/garments/0"]
    assert [] == [words for words in said.values() if re.search(r"Not a valid|Must be|Missing data|Field may", words)]
