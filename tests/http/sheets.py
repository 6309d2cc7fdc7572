"""What callers send in these tests: order sheets, readings, a worn suit."""

from uuid import uuid4


def named(value):
    """How a value stands in the name of a test: "36.5" and 36.5 are two."""
    return repr(value)[:120]


def inches(value):
    return {"value": value, "unit": "in"}


def reading(dimension, value, unit="in", **more):
    return {"dimension": dimension, "value": value, "unit": unit, **more}


SLIM = [reading("chest_girth", 36), reading("waist_girth", 30), reading("stature", 175, "cm")]
TROUSERS = {"garment": "trousers", "chart": "reference", "label": "30"}
# Trousers whose legs need no mark: they were hemmed before.
HEMMED = TROUSERS | {"hemmed": True}
JACKET = {"garment": "jacket", "chart": "reference", "label": "36R"}
WAIST_IN = {"alteration": "trouser_waist_in", "amount": inches(1), "basis": "girth"}
JACKET_WAIST_IN = {"alteration": "jacket_waist_in", "amount": inches("1 1/4"), "basis": "girth"}
PINNED = {"pins": {"left": inches(30), "right": inches("30 1/4")}}
WORN_UNREAD = {
    "worn": {"jacket": {"chart": "reference", "label": "36R"}, "trousers": {"chart": "reference", "label": "30"}},
    "observations": [{"point": "front_closure", "seen": "boxy"}],
}
WORN = WORN_UNREAD | {"readings": SLIM}


def sheet(**more):
    """The plainest order sheet: trousers, pinned."""
    return {"garments": [TROUSERS], "hems": [PINNED]} | more


def order(**more):
    """The plainest order."""
    return sheet(by="fitter-1") | more


def placed(client, **more):
    """A placed order, as it was answered."""
    answer = client.post("/v1/orders", order(**more), key=str(uuid4()))
    assert 201 == answer.status, answer.body
    return answer.body


def moved(client, order_id, to, version, **said):
    """The answer to a move from a known version."""
    asked = {"to": to, "by": "tailor-1", **said}
    return client.post(f"/v1/orders/{order_id}/moves", asked, headers={"If-Match": f'"{version}"'})


# The moves of an order that is sewn without a question, to the bench and on to its hanger.
IN_WORKROOM = [("accepted", {}), ("in_workroom", {})]
TO_READY = [*IN_WORKROOM, ("sewn", {}), ("pressed", {"pins_out": 0}), ("ready", {"pins_out": 0})]


def moved_along(client, order_id, *steps):
    """Move an order along from where it was placed; the last answer."""
    for version, (to, said) in enumerate(steps, start=1):
        answer = moved(client, order_id, to, version, **said)
        assert 200 == answer.status, answer.body
    return answer


SOLD = {"chart": "reference", "label": "40R"}
KEPT = {"garment": "jacket", "sold": SOLD, "result": "kept", "on": "2026-03-02"}
