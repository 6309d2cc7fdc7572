"""The dearest orders that callers may place, and their papers: what `costs` asks of them."""

from __future__ import annotations

from collections.abc import Iterator

import orjson

from service.tailoring.garments.alterations import catalogue
from tests.bench.asked import Ask, Asked, Body, must, posted
from tests.bench.large_charts import labels_of
from tests.http.sheets import inches

LETTERS = "\N{ARABIC LIGATURE SALLALLAHOU ALAYHE WASALLAM}"

# What four lines of a piece may be together.
DONE = (
    "jacket_chest_in", "jacket_waist_in", "jacket_skirt_in", "jacket_body_shorten",
    "trouser_waist_in", "trouser_sides_in", "trouser_band_lower", "trouser_thigh_in",
)  # fmt: skip


def orders_asked(ask: Ask) -> Iterator[Asked]:
    sheet = largest_sheet()
    order = {**sheet, "by": "fitter-1", "customer_ref": "C-dear", "note": "n" * 500}
    yield posted("/v1/alteration-quotes", "10 garments, 40 lines", sheet)
    yield posted("/v1/orders", "10 garments, 40 lines", order)
    letters = {**largest_sheet(LETTERS), "by": "fitter-1", "note": LETTERS * 500}
    yield posted("/v1/orders", "the same, in long letters", letters)
    for what, body in (("plain", order), ("long letters", letters)):
        placed = orjson.loads(must(ask, posted("/v1/orders", what, body), 201).data)
        for path in ("", "/charges"):
            yield Asked(f"GET /v1/orders/{{order_id}}{path}", what, "GET", f"/v1/orders/{placed['id']}{path}")
        for paper in ("ticket", "customer-slip"):
            for media in ("application/pdf", "text/plain", "image/svg+xml", "application/octet-stream"):
                at, accept = f"/v1/orders/{placed['id']}/{paper}", {"Accept": media}
                yield Asked(f"GET /v1/orders/{{order_id}}/{paper}", f"{what}, {media}", "GET", at, headers=accept)
    members = [{**largest_sheet(), "customer_ref": f"C-{at}"} for at in range(30)]
    few = [
        {**each, "lines": each["lines"][:8], "garments": each["garments"][:2], "hems": each["hems"][:1]}
        for each in members
    ]
    group = orjson.loads(
        must(ask, posted("/v1/order-groups", "30 members", {"by": "fitter-1", "orders": few}), 201).data
    )
    at = f"/v1/order-groups/{group['id']}"
    yield Asked("GET /v1/order-groups/{group_id}", "30 members", "GET", at)
    for media in ("application/pdf", "text/plain", "application/json"):
        accept = {"Accept": media}
        yield Asked(
            "GET /v1/order-groups/{group_id}/sheet", f"30 members, {media}", "GET", f"{at}/sheet", headers=accept
        )


def largest_sheet(letters: str = "w") -> Body:
    garments = [
        {
            "garment": "jacket" if at % 2 else "trousers", "chart": f"large-{at}",
            "label": labels_of("jacket" if at % 2 else "trousers")[10], "cloth": letters * 80, "style": letters * 80,
            "must_keep": letters * 200, "faults_seen": letters * 200,
        }
        for at in range(10)
    ]  # fmt: skip
    lines = [
        {
            "piece": at + 1, "alteration": each.code, "note": letters * 200, "amount": inches("1/4"),
            "basis": each.basis, "direction": each.directions[0], **({"side": "left"} if each.sided else {}),
        }
        for at in range(10)
        for each in catalogue().values()
        if each.garment == garments[at]["garment"] and each.code in DONE
    ]  # fmt: skip
    hems = [{"piece": at + 1, "pins": {"left": inches(30), "right": inches(30)}} for at in range(0, 10, 2)]
    return {"garments": garments, "lines": lines[:40], "hems": hems}
