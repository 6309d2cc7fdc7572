"""The dearest requests that callers may send, and the dearest that they may not: what `costs` asks."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

import orjson
from flask import Flask

from service.http.api import BODY_MOST_BYTES, contract
from service.tailoring.body.readings import dimensions
from service.tailoring.fitting.fit_points import appearances, fit_points
from service.tailoring.garments.alterations import catalogue
from service.tailoring.garments.charts import GARMENTS, SIZES_MOST
from service.tailoring.labels.designation_systems import systems
from tests.http.bodies import OPERATIONS, address, holding, parts
from tests.http.sheets import inches, reading

CHARTS = 10
Body = dict[str, Any]
MAN = {
    "stature": 1780.0, "chest_girth": 980.0, "waist_girth": 860.0, "trouser_waist_girth": 880.0, "hip_girth": 990.0,
    "neck_girth": 390.0, "inside_leg_length": 810.0, "arm_length": 640.0,
}  # fmt: skip
LETTERS = "\N{ARABIC LIGATURE SALLALLAHOU ALAYHE WASALLAM}"
HALF_FULL = BODY_MOST_BYTES - 4096


@dataclass(frozen=True)
class Asked:
    """A request: its operation, what is dear about it, and what is sent."""

    operation: str
    what: str
    method: str
    path: str
    body: bytes | None = None
    headers: dict[str, str] = field(default_factory=dict)


Ask = Callable[[Asked], Any]


def plain_advice() -> Asked:
    """One size advice from three readings: the yardstick."""
    readings = [
        reading("chest_girth", "38 1/4"),
        reading("trouser_waist_girth", 33),
        reading("stature", 178, "cm"),
    ]
    return _post("/v1/size-advice", "three readings", {"readings": readings, "charts": ["reference"]})


def legal_requests(ask: Ask) -> Iterator[Asked]:
    """The dearest of each operation, in a shop of the largest charts there are."""
    yield plain_advice()
    for number in range(CHARTS):
        chart = Asked("PUT /v1/charts/{code}", "200 sizes", "PUT", f"/v1/charts/large-{number}", _json(_chart(number)))
        _must(ask, chart, 201)
        tight = Asked(
            "PUT /v1/charts/{code}", "ten thousand pairs", "PUT", f"/v1/charts/pairs-{number}", _json(_pairs(number))
        )
        _must(ask, tight, 201)
    yield chart
    yield from _advice()
    yield from _tables()
    yield from _orders(ask)
    yield from _records(ask)


def illegal_requests(app: Flask) -> Iterator[Asked]:
    """Of every operation with a body: each bound of its own over-filled, and fields that nobody knows."""
    document = contract(app)
    for (method, path), schema in OPERATIONS.items():
        most = 16 * 1024 * 1024 if path.endswith("batch") else HALF_FULL
        name, to = f"{method} {path}", address(path)
        lists = [at for at, each in parts(schema) if "array" in each["type"]]
        for at in lists:
            before, after = orjson.dumps(holding(at, None)).split(b"null")
            many = b"[" + b",".join([b"{}"] * ((most - 4096) // 3)) + b"]"
            yield Asked(name, f"{{}} in /{'/'.join(map(str, at))}", method, to, before + many + after)
        unknown = b"{" + b",".join(b'"%x":0' % at for at in range(HALF_FULL // 10)) + b"}"
        yield Asked(name, "fields unknown", method, to, unknown)
        yield Asked(name, "deep", method, to, b"[" * HALF_FULL)
        yield Asked(name, "objects in objects", method, to, b'{"x":[' + b",".join([b'{"a":{}}'] * 25_000) + b"]}")
    assert document["paths"]


def _advice() -> Iterator[Asked]:
    codes = [f"large-{number}" for number in range(CHARTS)]
    readings = [
        reading(name, MAN[name] + at % 7, "mm", repeats=[MAN[name] + at % 5 + i for i in range(9)])
        for at, name in enumerate([*MAN] * 8)
    ][:60]
    wears = [
        {"garment": garment, "chart": f"large-{at}", "label": _labels(garment)[10], "how": "fits"}
        for at in range(10)
        for garment in ("jacket" if at % 2 else "trousers",)
    ]
    known = {"readings": readings, "age_years": 40}
    asked = {"charts": codes, "limit": 20}
    stock = {f"{garment.rstrip('s')}s": [{"label": each} for each in _labels(garment)] for garment in GARMENTS}
    advice = "/v1/size-advice"
    yield _post(advice, "60 readings", {**known})
    pairs = [f"pairs-{number}" for number in range(CHARTS)]
    for name, some in (("10 charts", codes), ("10 charts of pairs", pairs)):
        yield _post(advice, name, {"readings": readings[:3], "charts": some})
        yield _post(advice, f"{name}, nothing known", {"charts": some})
        yield _post(advice, f"{name}, worn", {"wears": wears, "charts": some, "limit": 20})
        yield _post(advice, f"{name}, a stature", {"readings": readings[:1], "charts": some, "limit": 20})
        yield _post(advice, f"{name}, all", {**known, "wears": wears, "charts": some, "limit": 20})
    yield _post(advice, "10 charts, 20 plans", {"readings": readings[:3], **asked})
    yield _post(advice, "10 charts, all garments", {"readings": readings[:3], **asked, "garments": list(GARMENTS)})
    yield _post(advice, "10 worn garments", {"wears": wears, "charts": ["reference"]})
    yield _post(advice, "all of it", {**known, "wears": wears, **asked, "garments": list(GARMENTS)})
    yield _post(advice, "all of it, and stock", {**known, "wears": wears, **asked, "stock": stock})
    worn = {
        "worn": {garment: {"chart": "large-0", "label": _labels(garment)[10]} for garment in GARMENTS},
        "observations": [{"point": "front_closure", "seen": "boxy"}],
    }
    sightings = [
        {"point": point.code, "seen": look.name, **({"side": side} if side else {})}
        for point in fit_points().values()
        for side in (("left", "right") if point.sided else (None,))
        for look in appearances(point.code)[:1]
    ]
    check = "/v1/fit-checks"
    yield _post(check, "one sighting", {**worn, "readings": readings[:3]})
    yield _post(check, "one sighting, 10 charts", {**worn, **known, **asked})
    yield _post(check, f"{len(sightings)} sightings", {**worn, **known, "observations": sightings[:120]})
    yield _post(check, "all of it", {**worn, **known, **asked, "wears": wears, "observations": sightings[:120]})
    little = {"charts": pairs, "limit": 20}
    in_pairs = {
        "worn": {"jacket": {"chart": "pairs-0", "label": "J50"}, "trousers": {"chart": "pairs-0", "label": "T50"}}
    }
    yield _post(check, "in pairs, little known", {**worn, **in_pairs, **little, "readings": readings[:1]})
    yield _post(check, "in pairs, only looked at", {**worn, **in_pairs, **little})
    in_pairs |= {"observations": [each for each in sightings if not each["point"].startswith("waistcoat")][:120]}
    yield _post(check, "in pairs, all of it", {**worn, **in_pairs, **little, **known, "wears": wears})
    yield _post("/v1/hem-plans", "worn and read", {**known, "wears": wears})
    yield _post("/v1/hem-plans", "worn", {"wears": wears})
    compare = {"from": {"chart": "large-0", "garment": "jacket", "label": _labels("jacket")[10]}, "to": codes}
    yield _post("/v1/charts/compare", "10 charts", compare)
    yield _post("/v1/charts/compare", "itself 10 times", {**compare, "to": ["large-1"] * 10})
    to = list(systems())
    for system in systems().values():
        body = {"from": {"system": system.name, "label": system.example}, "to": to, "limit": 50, "age_years": 40}
        yield _post("/v1/designations/translate", f"of {system.name}", body)
        again = {**body, "to": [system.name] * len(to)}
        yield _post("/v1/designations/translate", f"{system.name} again and again", again)
    few = {"readings": readings[:1], "to": to, "limit": 50}
    yield _post("/v1/designations/translate", "a man", {**few, **known})
    yield _post("/v1/designations/translate", "a man little known", few)


def _tables() -> Iterator[Asked]:
    for path in ("charts", "charts/large-0", "designations", "alterations", "fit-points", "price-list", "ease-table"):
        yield Asked(f"GET /v1/{path}", "", "GET", f"/v1/{path}")
    yield Asked("GET /openapi.json", "", "GET", "/openapi.json")
    yield Asked("GET /metrics", "", "GET", "/metrics")
    rows = [
        {
            "point": code,
            "appearances": [
                {
                    "seen": "own_look_" + "abcdefghijkl"[at], "verdict": "too_much",
                    "causes": ["w" * 40] * 8, "remedies": ["r" * 40] * 8,
                }
                for at in range(12)
            ],
            "source": "s" * 200,
        }
        for code in fit_points()
    ]  # fmt: skip
    yield _post("/v1/fit-points", "every row full", {"rows": rows}, "PUT")
    amounts = [each.code for each in catalogue().values() if each.directions]
    prices = {
        "currency": "EUR", "plain_hem_minor": 1400, "round_to_minor": 50, "minute_minor": 25,
        "tax_category": "standard",
        "fixed": [{"alteration": code, "minor": 2000} for code in catalogue()],
        "bands": [
            {"alteration": amounts[at % len(amounts)], "over": {"value": 1 + at, "unit": "mm"}, "minor": 2000 + at}
            for at in range(400)
        ],
        "modifiers": [{"what": "cloth", "word": f"cloth{at}", "percent": 5} for at in range(100)],
    }  # fmt: skip
    yield _post("/v1/price-list", "all prices", prices, "PUT")
    pressed = {
        "garment": "trousers", "cloth": "w" * 80,
        "fibres": [{"fibre": name} for name in ("wool", "elastane", "linen", "silk", "cotton")],
    }  # fmt: skip
    yield _post("/v1/finishing-plans", "10 garments", {"garments": [pressed] * 10})


def _orders(ask: Ask) -> Iterator[Asked]:
    sheet = _sheet()
    order = {**sheet, "by": "fitter-1", "customer_ref": "C-dear", "note": "n" * 500}
    yield _post("/v1/alteration-quotes", "10 garments, 40 lines", sheet)
    yield _post("/v1/orders", "10 garments, 40 lines", order)
    letters = {**_sheet(LETTERS), "by": "fitter-1", "note": LETTERS * 500}
    yield _post("/v1/orders", "the same, in long letters", letters)
    for what, body in (("plain", order), ("long letters", letters)):
        placed = orjson.loads(_must(ask, _post("/v1/orders", what, body), 201).data)
        for path in ("", "/charges"):
            yield Asked(f"GET /v1/orders/{{order_id}}{path}", what, "GET", f"/v1/orders/{placed['id']}{path}")
        for paper in ("ticket", "customer-slip"):
            for media in ("application/pdf", "text/plain", "image/svg+xml", "application/octet-stream"):
                at, accept = f"/v1/orders/{placed['id']}/{paper}", {"Accept": media}
                yield Asked(f"GET /v1/orders/{{order_id}}/{paper}", f"{what}, {media}", "GET", at, headers=accept)


def _records(ask: Ask) -> Iterator[Asked]:
    readings = [reading(name, MAN[name], "mm", repeats=[MAN[name] + i for i in range(9)]) for name in [*MAN] * 8][:60]
    taken = {"readings": readings, "customer_ref": "C-dear", "note": "n" * 200}
    yield _post("/v1/measurement-sets", "60 readings", taken)
    for _ in range(100):
        _must(ask, _post("/v1/measurement-sets", "", taken), 201)
    mine = "/v1/customers/C-dear"
    yield Asked("GET /v1/customers/{ref}/measurement-sets", "100 sets", "GET", f"{mine}/measurement-sets")
    yield Asked("GET /v1/customers/{ref}/export", "100 sets", "GET", f"{mine}/export")
    for path in ("orders?limit=100", "orders/counts", "events?limit=100", "workroom/days", "workroom/worklist"):
        yield Asked(f"GET /v1/{path.partition('?')[0]}", "", "GET", f"/v1/{path}")


def _sheet(letters: str = "w") -> Body:
    garments = [
        {
            "garment": "jacket" if at % 2 else "trousers", "chart": f"large-{at}",
            "label": _labels("jacket" if at % 2 else "trousers")[10], "cloth": letters * 80, "style": letters * 80,
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


# What four lines of a piece may be together.
DONE = (
    "jacket_chest_in", "jacket_waist_in", "jacket_skirt_in", "jacket_body_shorten",
    "trouser_waist_in", "trouser_sides_in", "trouser_band_lower", "trouser_thigh_in",
)  # fmt: skip


def _chart(number: int) -> Body:
    """As many sizes as a chart may have, at every place that garments have; no two of them alike."""
    shift = number / 64
    return {"title": "Large", "unit": "in", "sold": "separates", "sizes": [*_sizes(shift)][:SIZES_MOST]}


def _pairs(number: int) -> Body:
    """Sizes so near to one another that every jacket is sold with every pair of trousers."""
    jackets = [
        {
            "garment": "jacket", "label": f"J{at}", "body": 38 + at / 512, "chest": 42 + at / 512,
            "waist": 37 + at / 512, "seat": 41 + at / 512,
            "shoulder": 6 + at / 512, "back_width": 17 + at / 512, "sleeve": 25 + at / 512,
            "back_length": 30 + number / 64 + at / 512,
        }
        for at in range(SIZES_MOST // 2)
    ]  # fmt: skip
    trousers = [
        {
            "garment": "trousers", "label": f"T{at}", "body": 32 + at / 512, "waist": 32.75 + at / 512,
            "seat": 41 + at / 512, "thigh": 24 + at / 512, "rise": 10 + at / 512, "hem": 16 + at / 512,
            "inside_leg": 34 + number / 64,
        }
        for at in range(SIZES_MOST // 2)
    ]  # fmt: skip
    return {"title": "Pairs", "unit": "in", "sold": "pairs", "drop": 6, "sizes": [*jackets, *trousers]}


CLASSES = (("short", "S", -1.5), ("regular", "R", 0.0), ("long", "L", 1.5), ("extra", "X", 3.0))
COUNTS = {"jacket": 22, "trousers": 18, "waistcoat": 10}


def _labels(garment: str) -> list[str]:
    return [size["label"] for size in _sizes(0.0) if size["garment"] == garment]


def _sizes(shift: float) -> Iterator[Body]:
    for name, letter, longer in CLASSES:
        for at in range(COUNTS["jacket"]):
            body = 33 + at
            yield {
                "garment": "jacket", "label": f"{body}{letter}", "body": body, "length_class": name,
                "chest": body + 4 + shift, "waist": body - 1 + shift, "seat": body + 3 + shift,
                "shoulder": 5 + at / 16, "back_width": 15 + at / 4, "sleeve": 24 + at / 8 + longer,
                "back_length": 28.5 + at / 8 + longer,
            }  # fmt: skip
        for at in range(COUNTS["trousers"]):
            body = 27 + at
            yield {
                "garment": "trousers", "label": f"{body}{letter}", "body": body, "length_class": name,
                "waist": body + 0.75 + shift, "seat": body + 9 + shift, "thigh": 22 + at / 2, "rise": 9 + at / 8,
                "hem": 15 + at / 4, "inside_leg": 34 + longer,
            }  # fmt: skip
        for at in range(COUNTS["waistcoat"]):
            body = 34 + 2 * at
            yield {
                "garment": "waistcoat", "label": f"{body}{letter}", "body": body, "length_class": name,
                "chest": body + 3 + shift, "waist": body - 2 + shift, "length": 24 + at / 8 + longer,
            }  # fmt: skip


def _post(path: str, what: str, body: Body, method: str = "POST") -> Asked:
    return Asked(f"{method} {path}", what, method, path, _json(body))


def _json(body: Body) -> bytes:
    return orjson.dumps(body)


def _must(ask: Ask, asked: Asked, status: int) -> Any:
    answer = ask(asked)
    if answer.status_code != status:
        raise SystemExit(f"{asked.operation}: {answer.status_code} {answer.data[:2000]}")
    return answer


DIMENSIONS = tuple(dimensions())
