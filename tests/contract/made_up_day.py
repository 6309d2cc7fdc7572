"""A made-up day of a shop, over HTTP: each operation of the contract asked, and what was answered kept as its example.

`examples_of(url)` plays it on a migrated database. Clock, ids and tokens are the day's own, so that every day is alike.
`python -m tests.contract.write_examples` writes down what was kept.
"""

import base64
import hashlib
import uuid
from itertools import count

from service.app import create_app
from service.http.contract.examples import DRAWN
from service.settings import Settings
from service.storage.database import Database
from service.tailoring.work.prices import PriceList
from service.use_cases.context import ServiceContext
from service.use_cases.orders.waiting import remind_of_waiting
from service.use_cases.shop.keys import SCOPES, give_key
from service.use_cases.shop.shops import open_shop
from tests.client import Client, Contract
from tests.contract.at_the_benches import worked
from tests.contract.kept_examples import Kept
from tests.days import Clock
from tests.http.sheets import HEMMED, JACKET, JACKET_WAIST_IN, SLIM, TROUSERS, WAIST_IN, inches, reading
from tests.shops import UNHURRIED
from tests.waiting import PATIENCE_SECONDS

CUSTOMER = "C-1042"
SUIT = {
    "garments": [HEMMED | {"cloth": "navy worsted"}, JACKET | {"cloth": "navy worsted"}],
    "lines": [WAIST_IN, JACKET_WAIST_IN],
    "customer_ref": CUSTOMER,
    "sale_ref": "S-77",
    "by": "fitter-1",
}
PRINTED = ("application/json", "text/plain", *DRAWN)
IDS = ("check_id", "group_id", "order_id", "outcome_id", "set_id", "webhook_id")
NOWHERE = dict.fromkeys(IDS, uuid.uuid5(uuid.NAMESPACE_URL, "nothing")) | {
    "code": "AAAA-AAAA", "chart": "nothing", "customer_ref": "nobody", "on": "2026-03-09", "slip": "A" * 32,
    "tailor": "nobody",
}  # fmt: skip


class Noting(Client):
    """A client that keeps what it asked and what was answered."""

    def __init__(self, kept, contract, key=None):
        super().__init__(contract, key)
        self._kept = kept

    def ask(self, method, path, document=None, *, view="whole", **more):
        """`view` is how this answer is called, where an operation has several kinds."""
        answer = super().ask(method, path, document, **more)
        self._kept.add(method, path, document, answer, view)
        return answer

    def example(self, operation, path, **more):
        """Send what the contract has for an example of the operation, at a path."""
        method, document = self._kept.request_of(operation)
        return self.ask(method, path, document, **more)

    def version(self, path):
        """What a change of this names as the version that was read."""
        return {"If-Match": self.get(path).headers["ETag"]}


def examples_of(url):
    """By operation a request, answers by status and media type, and refusals by status; and by name what is printed."""
    ids, tokens, clock = count(1), count(1), Clock()
    context = ServiceContext(
        database=Database(url, wait_seconds=PATIENCE_SECONDS),
        now=clock.now,
        new_id=lambda: str(uuid.uuid5(uuid.NAMESPACE_URL, f"made-up-{next(ids)}")),
        new_token=lambda: _token(next(tokens)),
    )
    contract = Contract(create_app(Settings(database_url=url, **UNHURRIED), context))
    shop = open_shop(context, "Corner Tailors", "Europe/Dublin", PriceList())
    kept = Kept(contract)
    try:
        staff = Noting(kept, contract, give_key(context, shop, "counter", frozenset(SCOPES)))
        keyless = Noting(kept, contract)
        for part in (
            measured,
            advised,
            checked,
            hemmed,
            ordered,
            altered,
            gone_astray,
            grouped,
            worked,
            planned,
            reported,
            kept_by_shop,
        ):
            part(staff)
            clock.advance(minutes=7)
        opened(staff, keyless)
        known(staff)
        refused(kept, staff, keyless, Noting(kept, contract, give_key(context, shop, "page", frozenset({"measure"}))))
        waited(staff, clock, context)
        staff.get("/v1/alterations?garment=waistcoat&view=short", view="short")
        events = staff.get("/v1/events?limit=100").body["events"]
        kept.events([*events, *staff.get(f"/v1/events?limit=100&after={events[-1]['cursor']}").body["events"]])
    finally:
        context.database.close()
    return kept.examples, kept.printed


def _token(number):
    """Text as long as a token that nobody can guess, and the same every day."""
    return base64.urlsafe_b64encode(hashlib.sha256(b"made-up %d" % number).digest()[:24]).decode()


def waited(staff, clock, context):
    """An order is ready and not collected for a fortnight."""
    order = Followed(staff, "order-10")
    order.moved("accepted", "in_workroom", "sewn")
    order.moved("pressed", "ready", pins_out=0)
    staff.example("remind_customer", f"{order.path}/reminders", headers=staff.version(order.path))
    clock.advance(days=15)
    remind_of_waiting(context)


def measured(staff):
    made = staff.example("record_measurement_set", "/v1/measurement-sets").body
    staff.get(f"/v1/measurement-sets/{made['id']}")
    staff.get(f"/v1/customers/{CUSTOMER}/measurement-sets")
    slip = {"readings": [reading("chest_girth", "38 1/3")], "by": "fitter-1"}
    assert 422 == staff.post("/v1/measurement-sets", slip).status
    staff.get("/v1/designations")
    staff.example("translate_designations", "/v1/designations/translate")


def advised(staff):
    staff.post("/v1/size-advice", {"readings": SLIM, "limit": 1})
    staff.post("/v1/size-advice?view=short", {"readings": SLIM, "limit": 3}, view="short")
    assert 422 == staff.post("/v1/size-advice", {"readings": [reading("chest_girth", 3600)]}).status
    asked = {"readings": SLIM, "limit": 1}
    plan = staff.post("/v1/size-advice", {**asked, "advice_ids": True}, view="with advice ids").body["plans"][0]
    kept = staff.post("/v1/kept-advice", {"asked": asked, "advice_id": plan["advice_id"]}).body
    assert 200 == staff.get(f"/v1/kept-advice/{kept['code']}").status
    batch = staff.example("advise_sizes", "/v1/size-advice/batch")
    assert 200 == batch.status
    staff.example("advise_sizes", "/v1/size-advice/batch", headers={"Accept": "application/x-ndjson"})


def checked(staff):
    staff.get("/v1/fit-points")
    made = staff.example("check_fit", "/v1/fit-checks").body
    staff.get(f"/v1/fit-checks/{made['id']}?view=short", view="short")
    for media in ("text/plain", "image/svg+xml"):
        staff.get(f"/v1/fit-checks/{made['id']}/drawing", headers={"Accept": media})
    for media in PRINTED:
        staff.example("print_made_to_measure_sheet", "/v1/made-to-measure-sheets", headers={"Accept": media})
    unknown = {"worn": {"jacket": {"chart": "reference", "label": "39R"}}, "observations": [], "readings": SLIM}
    assert 422 == staff.post("/v1/fit-checks", unknown).status


def hemmed(staff):
    staff.example("plan_hems", "/v1/hem-plans")
    staff.example("plan_finishing", "/v1/finishing-plans")
    staff.get("/v1/alterations?garment=waistcoat")
    staff.example("quote_alterations", "/v1/alteration-quotes")
    too_much = {"garments": [HEMMED], "lines": [WAIST_IN | {"amount": inches(9)}]}
    assert 422 == staff.post("/v1/alteration-quotes", too_much).status


def ordered(staff):
    made = staff.example("place_order", "/v1/orders", key="order-1").body
    path = f"/v1/orders/{made['id']}"
    staff.get("/v1/orders")
    staff.get(path)
    staff.get("/v1/orders/counts")
    staff.get(f"{path}/charges")
    for media in PRINTED:
        for paper in ("ticket", "customer-slip"):
            staff.get(f"{path}/{paper}", headers={"Accept": media})
    for media in ("application/json", "text/html", "text/plain"):
        staff.get(made["collection_slip"]["path"], headers={"Accept": media})
    staff.example("amend_order", path, headers=staff.version(path))
    stale = {"If-Match": '"1"'}
    assert 412 == staff.ask("PATCH", path, {"note": "the customer calls first"}, headers=stale).status
    unmarked = {"garments": [TROUSERS], "lines": [WAIST_IN], "by": "fitter-1"}
    assert 422 == staff.post("/v1/orders", unmarked, key="order-2").status
    hurried = SUIT | {"needed_by": "2026-03-02"}
    assert 409 == staff.post("/v1/orders", hurried, key="order-3").status
    assert 422 == staff.post("/v1/orders", SUIT | {"surplus": 1}, key="order-4").status


class Followed:
    """An order that is placed and moved on, always by the version that was read last."""

    def __init__(self, staff, key):
        self.staff = staff
        self.path = f"/v1/orders/{staff.post('/v1/orders', SUIT, key=key).body['id']}"

    def sent(self, what, by="tailor-1", **said):
        answer = self.staff.post(f"{self.path}/{what}", {"by": by, **said}, headers=self.staff.version(self.path))
        assert 200 == answer.status, answer.body
        return answer.body

    def moved(self, *states, **said):
        for to in states:
            self.sent("moves", to=to, **said)


def altered(staff):
    """One order from the counter to the customer, with a question, a change, and notes of the bench on its way."""
    order = Followed(staff, "order-5")
    too_early = {"to": "ready", "by": "tailor-1"}
    assert 409 == staff.post(f"{order.path}/moves", too_early, headers=staff.version(order.path)).status
    order.moved("accepted", "in_workroom")
    order.moved("query", question="Take in the waist by half an inch more?")
    closer = [{"number": 1, "amount": inches("1 1/2")}]
    order.sent("line-changes", by="fitter-1", reason="the customer wants it closer", change=closer)
    order.moved("in_workroom", answer="Yes, an inch and a half in all.")
    order.sent("bench-notes", lines=[{"number": 1, "is_sewn": True}])
    order.sent("promises", reason="the jacket tailor is ill")
    order.moved("sewn")
    lines = staff.get(order.path).body["lines"]
    order.sent("checks", by="fitter-2", lines=[{"number": each["number"], **_found(each)} for each in lines])
    order.moved("pressed", "ready", pins_out=0)
    order.moved("collected", tried_on=True)


def _found(line):
    """What a finished line measures: what it was to, or that it is right to the eye."""
    target = line["target"]
    return {"measured": {"value": target["value"], "unit": target["unit"]}} if target else {"is_right": True}


def gone_astray(staff):
    """Orders that end otherwise: one is cancelled, one redone, one lost and found and never collected, one lost."""
    lost = {"searched_by": "tailor-2", "where": "the pressing room"}
    settled = {"reason": "the shop's rule", "decided_by": "fitter-1"}
    cancelled, kept_here, gone = (Followed(staff, f"order-{number}") for number in (6, 7, 8))
    cancelled.moved("cancelled", reason="the customer has changed their mind")
    kept_here.moved("accepted", "in_workroom", "sewn")
    kept_here.moved("in_workroom", reason="the left side seam puckers")
    kept_here.moved("sewn")
    kept_here.moved("pressed", "ready", pins_out=0)
    kept_here.moved("stored", where="rail 4")
    kept_here.moved("given_up", **settled)
    gone.moved("lost", **lost)
    gone.moved("in_workroom", where="the fitting room")
    gone.moved("lost", **lost)
    gone.moved("written_off", **settled)


def grouped(staff):
    made = staff.example("place_order_group", "/v1/order-groups", key="group-1").body
    path = f"/v1/order-groups/{made['id']}"
    staff.get(path)
    joined = staff.example("join_order_group", f"{path}/members", key="group-2").body
    for media in PRINTED:
        staff.get(f"{path}/sheet", headers={"Accept": media})
    leaving = staff.version(f"/v1/orders/{joined['id']}")
    assert 200 == staff.ask("DELETE", f"{path}/members/{joined['id']}?by=fitter-1", headers=leaving).status


def planned(staff):
    staff.get("/v1/workroom/worklist?day=2026-03-04&limit=2")
    staff.get("/v1/workroom/days?from=2026-03-03&to=2026-03-04")
    staff.get("/v1/workroom/week")
    staff.get("/v1/orders/waiting?days=0")
    # Nobody is at the jackets bench, and what was promised by its minutes is at risk.
    away = {"benches": [{"bench": "jackets", "minutes": 0}], "reason": "the jacket tailor is ill"}
    for day in ("2026-03-03", "2026-03-04", "2026-03-05"):
        staff.ask("PUT", f"/v1/workroom/days/{day}", away, headers=staff.version("/v1/workroom/week"))
    assert staff.get("/v1/workroom/orders-at-risk").body["orders"]
    staff.example("promise_orders_at_risk", "/v1/workroom/promises")
    staff.example("put_week", "/v1/workroom/week", headers=staff.version("/v1/workroom/week"))


def reported(staff):
    made = staff.example("report_outcome", "/v1/outcomes", key="outcome-1").body
    staff.get(f"/v1/outcomes/{made['id']}")
    staff.get("/v1/kept-shares")
    staff.get("/v1/events?limit=3")
    made = staff.example("create_webhook", "/v1/webhooks").body
    staff.get("/v1/webhooks")
    staff.get(f"/v1/webhooks/{made['id']}")
    staff.post(f"/v1/webhooks/{made['id']}/replays", {"after": "0"})
    staff.ask("DELETE", f"/v1/webhooks/{made['id']}")
    assert 409 == staff.get("/v1/events?after=first-99999").status


def kept_by_shop(staff):
    staff.example("put_chart", "/v1/charts/everyday")
    staff.example("put_chart", "/v1/charts/everyday")
    revised = staff.example("put_chart", "/v1/charts/everyday").body
    assert "everyday" == revised["chart"]
    staff.get("/v1/charts")
    staff.get("/v1/charts/everyday")
    staff.example("compare_charts", "/v1/charts/compare")
    for table in ("ease-table", "price-list", "fit-points"):
        staff.get(f"/v1/{table}")
        staff.example(f"put_{table.replace('-', '_')}", f"/v1/{table}", headers=staff.version(f"/v1/{table}"))


def opened(staff, keyless):
    for path in ("/health/live", "/health/ready", "/metrics"):
        keyless.get(path)
    staff.get("/v1/disclosures?limit=3")


def known(staff):
    """What is kept of a customer who was measured once, and of whom nothing is kept in the end."""
    slim = {"readings": SLIM[:1], "customer_ref": "C-2001", "by": "fitter-2"}
    staff.post("/v1/measurement-sets", slim)
    staff.post("/v1/orders", {**SUIT, "customer_ref": "C-2001"}, key="order-9")
    staff.get("/v1/customers/C-2001/history")
    staff.get("/v1/customers/C-2001/export")
    staff.ask("DELETE", "/v1/customers/C-2001")


def refused(kept, staff, keyless, page):
    """What any operation may be refused with: no key, another key, no version or an old one, a slip, nothing there."""
    for method, path, said in kept.operations():
        at = path.format_map(NOWHERE)
        body = said.get("requestBody", {}).get("content", {}).get("application/json", {}).get("example")
        if said["security"]:
            keyless.ask(method, at, body)
            page.ask(method, at, body)
        if "428" in said["responses"]:
            staff.ask(method, at, body)
        if "412" in said["responses"] and "_id}" not in path:
            staff.ask(method, at, body, headers={"If-Match": '"999"'})
        misspelt = {"If-Match": '"1"'} if "428" in said["responses"] else {}
        if body is None:
            staff.ask(method, f"{at}?unit=in", headers=misspelt)
        else:
            staff.ask(method, at, {**body, "remark": "a field that is not known"}, headers=misspelt, key="misspelt")
        if "404" in said["responses"]:
            staff.ask(
                method, at, body, headers={"If-Match": '"1"'} if "428" in said["responses"] else {}, key="nothing"
            )
