"""Another shop's things do not exist: every operation of the contract, with every id of another shop.

The operations come from the contract, so a new one is looked at by itself. One whose path, query or body names a
thing that nobody makes here fails, and says what to add to MADE or NAMED.
"""

import re
from uuid import uuid4

import pytest

from service.app import create_app
from service.http.api import contract
from service.settings import Settings
from tests.http.sheets import KEPT, SLIM, WORN, order, placed, sheet

DOCUMENT = contract(create_app(Settings()))
CHART = {
    "title": "Theirs alone",
    "unit": "in",
    "sold": "separates",
    "sizes": [
        {"garment": "jacket", "label": "40R", "body": 40, "chest": 44, "waist": 38, "sleeve": 25, "back_length": 30},
        {"garment": "trousers", "label": "34", "body": 34, "waist": "34 3/4", "inside_leg": 36},
    ],
}
THEIRS = "C-of-another-shop"


def recorded(them):
    asked = {"readings": SLIM, "customer_ref": THEIRS, "by": "their-fitter"}
    return them.post("/v1/measurement-sets", asked).body["id"]


def checked(them):
    return them.post("/v1/fit-checks", {**WORN, "customer_ref": THEIRS}).body["id"]


def ordered(them):
    return placed(them, customer_ref=THEIRS, sale_ref="S-of-another-shop")["id"]


def told(them):
    return them.post("/v1/outcomes", KEPT | {"sale_ref": "S-of-another-shop"}, key=str(uuid4())).body["id"]


def hooked(them):
    return them.post("/v1/webhooks", {"url": "https://shop.example/events-of-another-shop"}).body["id"]


def charted(them):
    assert 201 == them.ask("PUT", "/v1/charts/theirs", CHART).status
    return "theirs"


def grouped(them):
    asked = {"by": "their-fitter", "orders": [sheet(customer_ref=THEIRS), sheet(customer_ref=THEIRS)]}
    return them.post("/v1/order-groups", asked, key=str(uuid4())).body["id"]


def employed(them):
    kept = {"benches": ["trousers"], "minutes_a_day": 400}
    assert 200 == them.ask("PUT", "/v1/tailors/tailor-of-another-shop", kept).status
    return "tailor-of-another-shop"


def shut(them):
    version = them.get("/v1/workroom/week").headers["ETag"]
    asked = {"closed": True, "reason": "Theirs alone"}
    assert 200 == them.ask("PUT", "/v1/workroom/days/2026-03-19", asked, headers={"If-Match": version}).status
    return "2026-03-19"


def kept(them):
    asked = {"readings": SLIM, "limit": 1}
    plan = them.post("/v1/size-advice", {**asked, "advice_ids": True}).body["plans"][0]
    answer = them.post("/v1/kept-advice", {"asked": asked, "advice_id": plan["advice_id"]})
    assert 201 == answer.status
    return answer.body["code"]


# How another shop makes what a part of a path names.
MADE = {
    "set_id": recorded,
    "check_id": checked,
    "order_id": ordered,
    "webhook_id": hooked,
    "outcome_id": told,
    "group_id": grouped,
    "on": shut,
    "tailor": employed,
    "code": kept,
    "chart": charted,
    "customer_ref": lambda them: (recorded(them), checked(them), ordered(them), THEIRS)[-1],
}
# Names of each shop's own choosing: the same name is another thing here, and nothing of theirs is seen or changed.
OF_EACH_SHOP = {"chart", "customer_ref", "on", "tailor"}
# What a field of a body or query names.
NAMED = {
    "measurement_set": recorded,
    "from_fit_check": checked,
    "fit_check": checked,
    "order": ordered,
    "group": grouped,
}
# What is asked where the contract's example does not get as far as looking for the thing.
ASKED = {"replay_webhook": {"after": "0"}}
OPEN = {"/v1/collection-slips/{slip}"}  # the token is the key to it
METHODS = {"get", "put", "post", "patch", "delete"}

OPERATIONS = [
    (method.upper(), path, operation)
    for path, item in DOCUMENT["paths"].items()
    for method, operation in item.items()
    if method in METHODS and path not in OPEN and operation.get("security") != []
]
BY_PATH = [(method, path, operation) for method, path, operation in OPERATIONS if "{" in path]
LISTS = [path for method, path, _ in OPERATIONS if method == "GET" and "{" not in path]


def sent(operation):
    """The body of the operation's example, or None where it takes none."""
    content = operation.get("requestBody", {}).get("content", {})
    if not content:
        return None
    body = ASKED.get(operation["operationId"], content["application/json"].get("example"))
    assert body is not None, f"{operation['operationId']} has a body: give it an example, or say one in ASKED"
    return body


def ask(client, method, path, body):
    """Ask with everything that a precondition may want."""
    return client.ask(method, path, body, key=str(uuid4()), headers={"If-Match": '"1"'})


def fields_with_ids(operation):
    """The names of fields, anywhere in the body or query, that hold an id."""
    waiting = [each["schema"] for each in operation.get("requestBody", {}).get("content", {}).values()]
    found = {
        each["name"]
        for each in operation.get("parameters", [])
        if each["in"] == "query" and each["schema"].get("format") == "uuid"
    }
    seen = []
    while waiting:
        part = waiting.pop()
        if part in seen:
            continue
        seen.append(part)
        if "$ref" in part:
            waiting.append(DOCUMENT["components"]["schemas"][part["$ref"].rpartition("/")[2]])
        for name, inner in part.get("properties", {}).items():
            if inner.get("format") == "uuid":
                found.add(name)
            waiting.append(inner)
        waiting += [part["items"]] if "items" in part else []
        waiting += part.get("oneOf", []) + part.get("anyOf", []) + part.get("allOf", [])
    return sorted(found)


BY_FIELD = [
    (method, path, operation, field)
    for method, path, operation in OPERATIONS
    for field in fields_with_ids(operation)
    if "{" not in path
]


def test_operations_are_found():
    assert {"GET", "POST", "PUT"} <= {method for method, _, _ in OPERATIONS}
    assert len(BY_PATH) >= 9
    assert {"measurement_set", "from_fit_check"} <= {field for *_, field in BY_FIELD}


def test_every_thing_that_a_path_names_is_made_here():
    named = {name for _, path, _ in BY_PATH for name in re.findall(r"{(\w+)}", path)}
    assert set() == named - set(MADE)


def test_every_field_that_holds_an_id_is_known_here():
    assert set() == {field for *_, field in BY_FIELD} - set(NAMED)


@pytest.mark.parametrize(("method", "path", "operation"), BY_PATH, ids=lambda it: it if isinstance(it, str) else "")
def test_another_shops_thing_is_not_found_and_stays_as_it_was(staff, other_shop, method, path, operation):
    them = other_shop.staff
    made = {name: MADE[name](them) for name in re.findall(r"{(\w+)}", path)}
    if {"group_id", "order_id"} <= made.keys():
        made["order_id"] = them.get(f"/v1/order-groups/{made['group_id']}").body["orders"][0]["id"]
    address, body = path.format(**made), sent(operation)
    before = shown(them)
    answer = ask(staff, method, address, body)
    if set(made) <= OF_EACH_SHOP:
        assert [] == marks_in(answer, made)
    else:
        assert (404, "not_found", [""]) == answer.problem
    assert before == shown(them)
    # It is there all the same: the very same request is another matter for its own shop.
    assert 404 != ask(them, method, address, body).status


@pytest.mark.parametrize(
    ("method", "path", "operation", "field"), BY_FIELD, ids=lambda it: it if isinstance(it, str) else ""
)
def test_another_shops_thing_cannot_be_named_in_a_request(staff, other_shop, method, path, operation, field):
    them = other_shop.staff
    its_id = NAMED[field](them)
    if method == "GET":
        assert its_id not in staff.get(path, query={field: its_id}).raw.decode().replace(field, "")
        return
    body, at = naming(sent(operation), field, its_id)
    answer = ask(staff, method, path, body)
    faults = {(error["pointer"], error["code"]) for error in answer.body["errors"]}
    (unknown,) = {fault for fault in faults if fault[0] == at}
    assert answer.status in (404, 422)
    theirs = ask(them, method, path, body)
    # A paper is text and names no errors.
    errors = theirs.body.get("errors", []) if isinstance(theirs.body, dict) else []
    assert unknown not in {(error["pointer"], error["code"]) for error in errors}


def naming(body, field, its_id):
    """The body with the id in the field, of the first order where it is a group, and the field's pointer."""
    if "orders" not in body:
        return {**body, field: its_id}, f"/{field}"
    first, *others = body["orders"]
    return {**body, "orders": [{**first, field: its_id}, *others]}, f"/orders/0/{field}"


@pytest.mark.parametrize("path", LISTS)
def test_another_shops_things_stand_in_no_list(staff, other_shop, path):
    made = {name: make(other_shop.staff) for name, make in MADE.items()}
    assert [] == marks_in(staff.get(path), made)


def test_their_own_lists_do_show_them(other_shop):
    made = {name: make(other_shop.staff) for name, make in MADE.items()}
    found = {mark for path in LISTS for mark in marks_in(other_shop.staff.get(path), made)}
    assert {made["order_id"], "S-of-another-shop", "Theirs alone"} <= found


def test_two_shops_number_their_orders_apart(staff, other_shop):
    assert ["1001", "1001", "1002"] == [placed(client)["number"] for client in (staff, other_shop.staff, staff)]


def test_two_shops_may_use_one_idempotency_key(staff, other_shop):
    ours, theirs = (client.post("/v1/orders", order(), key="till-1") for client in (staff, other_shop.staff))
    assert (201, 201) == (ours.status, theirs.status)
    assert ours.body["id"] != theirs.body["id"]
    assert "Answer-Repeated" not in theirs.headers


MARKS = ("Theirs alone", "S-of-another-shop", "their-fitter")


def marks_in(answer, made):
    """What stands in an answer that only another shop could have put there."""
    # A name of each shop's own choosing stands in the answer where it was asked for by it.
    marks = [*MARKS, *(its_id for name, its_id in made.items() if name not in OF_EACH_SHOP)]
    return [mark for mark in marks if mark in answer.raw.decode()]


def shown(client):
    """Everything that a shop's lists show of it, but for who looked: it just did."""
    lists = [client.get(path).raw for path in LISTS if path.startswith("/v1/") and path != "/v1/disclosures"]
    return [*lists, client.get(f"/v1/customers/{THEIRS}/measurement-sets").raw]
