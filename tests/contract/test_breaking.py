"""What a contract may not take away, rule by rule, on the contract itself with one thing changed."""

import copy
import json

import pytest

from service.console import CONTRACT
from tests.contract.breaking import RELEASED, breaking

CONTRACT_NOW = json.loads(CONTRACT.read_text("utf-8"))


def changed(change):
    document = copy.deepcopy(CONTRACT_NOW)
    change(document)
    return document


def schema(document, name):
    return document["components"]["schemas"][name]


def of(document, name, part):
    return schema(document, name)["properties"][part]


def parameter(document, path, method, name):
    (found,) = [each for each in document["paths"][path][method]["parameters"] if each["name"] == name]
    return found


BREAKS = {
    "the operation is gone": lambda it: it["paths"].pop("/v1/kept-shares"),
    "has another operationId": lambda it: it["paths"]["/v1/orders"]["get"].update(operationId="orders"),
    "state is no parameter any more": lambda it: it["paths"]["/v1/orders"]["get"]["parameters"].remove(
        parameter(it, "/v1/orders", "get", "state")
    ),
    "limit must be there now": lambda it: parameter(it, "/v1/orders", "get", "limit").update(required=True),
    "limit is held to a tighter maximum": lambda it: parameter(it, "/v1/orders", "get", "limit")["schema"].update(
        maximum=5
    ),
    "state takes fewer words": lambda it: parameter(it, "/v1/orders", "get", "state")["schema"]["enum"].remove("ready"),
    "/sale_ref is not taken any more": lambda it: schema(it, "OrderAsked")["properties"].pop("sale_ref"),
    "/sale_ref must be there now": lambda it: schema(it, "OrderAsked").update(required=["by", "sale_ref"]),
    "/note is held to a tighter maxLength": lambda it: of(it, "OrderAsked", "note").update(maxLength=5),
    "201/promised_for is gone": lambda it: schema(it, "Placed")["properties"].pop("promised_for"),
    "201/minutes may be missing now": lambda it: schema(it, "Placed")["required"].remove("minutes"),
    "201/minutes may be of another type": lambda it: of(it, "Placed", "minutes").update(type=["integer", "null"]),
    "201/state may be another word": lambda it: of(it, "Placed", "state")["enum"].append("mislaid"),
    "201 has no header ETag any more": lambda it: it["paths"]["/v1/orders"]["post"]["responses"]["201"]["headers"].pop(
        "ETag"
    ),
    "200 is not served as application/pdf any more": lambda it: it["paths"]["/v1/orders/{order_id}/ticket"]["get"][
        "responses"
    ]["200"]["content"].pop("application/pdf"),
}
ADDS = {
    "an operation": lambda it: it["paths"].update({"/v1/new": it["paths"]["/v1/orders"]}),
    "a field of a request": lambda it: schema(it, "OrderAsked")["properties"].update(more={"type": "string"}),
    "a field of an answer": lambda it: schema(it, "Placed")["properties"].update(more={"type": "string"}),
    "a word of a request": lambda it: parameter(it, "/v1/orders", "get", "state")["schema"]["enum"].append("mislaid"),
    "a refusal": lambda it: it["paths"]["/v1/orders"]["get"]["responses"].update({"418": {"description": "Tea"}}),
    "a wider bound": lambda it: of(it, "OrderAsked", "note").update(maxLength=5000),
    "words": lambda it: of(it, "OrderAsked", "note").update(description="more of them"),
}


@pytest.mark.parametrize("words", BREAKS)
def test_what_callers_rely_on_may_not_go(words):
    found = breaking(CONTRACT_NOW, changed(BREAKS[words]))
    assert [] != [line for line in found if line.endswith(words)], found


@pytest.mark.parametrize("kind", ADDS)
def test_what_is_added_breaks_nobody(kind):
    assert [] == breaking(CONTRACT_NOW, changed(ADDS[kind]))


def test_the_last_release_is_kept_whole():
    assert json.loads(RELEASED.read_text("utf-8"))["info"]["version"] <= CONTRACT_NOW["info"]["version"]
