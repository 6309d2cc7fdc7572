"""The dearest requests that callers may send, and the dearest that they may not: what `costs` asks."""

from __future__ import annotations

from collections.abc import Iterator

import orjson
from flask import Flask

from service.http.api import BODY_MOST_BYTES, contract
from service.tailoring.fitting.fit_points import appearances, fit_points
from service.tailoring.garments.alterations import catalogue
from service.tailoring.garments.charts import GARMENTS
from service.tailoring.labels.designation_systems import systems
from tests.bench.asked import Ask, Asked, in_bytes, must, posted
from tests.bench.dear_orders import orders_asked
from tests.bench.large_charts import labels_of, large_chart, pairs_chart
from tests.http.bodies import OPERATIONS, address, holding, parts
from tests.http.sheets import reading

CHARTS = 10
MAN = {
    "stature": 1780.0, "chest_girth": 980.0, "waist_girth": 860.0, "trouser_waist_girth": 880.0, "hip_girth": 990.0,
    "neck_girth": 390.0, "inside_leg_length": 810.0, "arm_length": 640.0,
}  # fmt: skip
HALF_FULL = BODY_MOST_BYTES - 4096


def plain_advice() -> Asked:
    """One size advice from three readings: the yardstick."""
    readings = [
        reading("chest_girth", "38 1/4"),
        reading("trouser_waist_girth", 33),
        reading("stature", 178, "cm"),
    ]
    return posted("/v1/size-advice", "three readings", {"readings": readings, "charts": ["reference"]})


def legal_requests(ask: Ask) -> Iterator[Asked]:
    """The dearest of each operation, in a shop of the largest charts there are."""
    yield plain_advice()
    put = "PUT /v1/charts/{code}"
    for number in range(CHARTS):
        chart = Asked(put, "200 sizes", "PUT", f"/v1/charts/large-{number}", in_bytes(large_chart(number)))
        must(ask, chart, 201)
        tight = Asked(put, "10,000 pairs", "PUT", f"/v1/charts/pairs-{number}", in_bytes(pairs_chart(number)))
        must(ask, tight, 201)
    yield chart
    yield from _advice()
    yield from _tables()
    yield from orders_asked(ask)
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
        {"garment": garment, "chart": f"large-{at}", "label": labels_of(garment)[10], "how": "fits"}
        for at in range(10)
        for garment in ("jacket" if at % 2 else "trousers",)
    ]
    known = {"readings": readings, "age_years": 40}
    asked = {"charts": codes, "limit": 20}
    stock = {f"{garment.rstrip('s')}s": [{"label": each} for each in labels_of(garment)] for garment in GARMENTS}
    advice = "/v1/size-advice"
    yield posted(advice, "60 readings", {**known})
    pairs = [f"pairs-{number}" for number in range(CHARTS)]
    for name, some in (("10 charts", codes), ("10 charts of pairs", pairs)):
        yield posted(advice, name, {"readings": readings[:3], "charts": some})
        yield posted(advice, f"{name}, nothing known", {"charts": some})
        yield posted(advice, f"{name}, worn", {"wears": wears, "charts": some, "limit": 20})
        yield posted(advice, f"{name}, a stature", {"readings": readings[:1], "charts": some, "limit": 20})
        yield posted(advice, f"{name}, all", {**known, "wears": wears, "charts": some, "limit": 20})
    yield posted(advice, "10 charts, 20 plans", {"readings": readings[:3], **asked})
    yield posted(advice, "10 charts, all garments", {"readings": readings[:3], **asked, "garments": list(GARMENTS)})
    yield posted(advice, "10 worn garments", {"wears": wears, "charts": ["reference"]})
    yield posted(advice, "all of it", {**known, "wears": wears, **asked, "garments": list(GARMENTS)})
    yield posted(advice, "all of it, and stock", {**known, "wears": wears, **asked, "stock": stock})
    worn = {
        "worn": {garment: {"chart": "large-0", "label": labels_of(garment)[10]} for garment in GARMENTS},
        "observations": [{"point": "front_closure", "seen": "boxy"}],
    }
    sightings = [
        {"point": point.code, "seen": look.name, **({"side": side} if side else {})}
        for point in fit_points().values()
        for side in (("left", "right") if point.sided else (None,))
        for look in appearances(point.code)[:1]
    ]
    check = "/v1/fit-checks"
    yield posted(check, "one sighting", {**worn, "readings": readings[:3]})
    yield posted(check, "one sighting, 10 charts", {**worn, **known, **asked})
    yield posted(check, f"{len(sightings)} sightings", {**worn, **known, "observations": sightings[:120]})
    yield posted(check, "all of it", {**worn, **known, **asked, "wears": wears, "observations": sightings[:120]})
    sheets = "/v1/made-to-measure-sheets"
    everything = {
        **known,
        "wears": wears,
        "charts": codes,
        "garments": list(GARMENTS),
        "stock": stock,
        "note": "n" * 500,
    }
    for media in ("application/json", "text/plain", "application/pdf"):
        yield posted(sheets, f"all of it, {media}", everything, accept=media)
    little = {"charts": pairs, "limit": 20}
    in_pairs = {
        "worn": {"jacket": {"chart": "pairs-0", "label": "J50"}, "trousers": {"chart": "pairs-0", "label": "T50"}}
    }
    yield posted(check, "in pairs, little known", {**worn, **in_pairs, **little, "readings": readings[:1]})
    yield posted(check, "in pairs, only looked at", {**worn, **in_pairs, **little})
    in_pairs |= {"observations": [each for each in sightings if not each["point"].startswith("waistcoat")][:120]}
    yield posted(check, "in pairs, all of it", {**worn, **in_pairs, **little, **known, "wears": wears})
    yield posted("/v1/hem-plans", "worn and read", {**known, "wears": wears})
    yield posted("/v1/hem-plans", "worn", {"wears": wears})
    compare = {"from": {"chart": "large-0", "garment": "jacket", "label": labels_of("jacket")[10]}, "to": codes}
    yield posted("/v1/charts/compare", "10 charts", compare)
    yield posted("/v1/charts/compare", "itself 10 times", {**compare, "to": ["large-1"] * 10})
    to = list(systems())
    for system in systems().values():
        body = {"from": {"system": system.name, "label": system.example}, "to": to, "limit": 50, "age_years": 40}
        yield posted("/v1/designations/translate", f"of {system.name}", body)
        again = {**body, "to": [system.name] * len(to)}
        yield posted("/v1/designations/translate", f"{system.name} again and again", again)
    few = {"readings": readings[:1], "to": to, "limit": 50}
    yield posted("/v1/designations/translate", "a man", {**few, **known})
    yield posted("/v1/designations/translate", "a man little known", few)


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
    yield posted("/v1/fit-points", "every row full", {"rows": rows}, "PUT")
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
    yield posted("/v1/price-list", "all prices", prices, "PUT")
    pressed = {
        "garment": "trousers", "cloth": "w" * 80,
        "fibres": [{"fibre": name} for name in ("wool", "elastane", "linen", "silk", "cotton")],
    }  # fmt: skip
    yield posted("/v1/finishing-plans", "10 garments", {"garments": [pressed] * 10})


def _records(ask: Ask) -> Iterator[Asked]:
    readings = [reading(name, MAN[name], "mm", repeats=[MAN[name] + i for i in range(9)]) for name in [*MAN] * 8][:60]
    taken = {"readings": readings, "customer_ref": "C-dear", "note": "n" * 200}
    yield posted("/v1/measurement-sets", "60 readings", taken)
    for _ in range(100):
        must(ask, posted("/v1/measurement-sets", "", taken), 201)
    mine = "/v1/customers/C-dear"
    yield Asked("GET /v1/customers/{ref}/measurement-sets", "100 sets", "GET", f"{mine}/measurement-sets")
    yield Asked("GET /v1/customers/{ref}/export", "100 sets", "GET", f"{mine}/export")
    yield Asked("GET /v1/customers/{ref}/history", "100 sets, orders", "GET", f"{mine}/history?limit=100")
    lists = (
        "orders?limit=100",
        "orders/counts",
        "orders/waiting?days=0",
        "events?limit=100",
        "workroom/worklist?limit=500",
    )
    for path in (*lists, "workroom/days", "tailors", "webhooks", "outcomes?limit=100"):
        yield Asked(f"GET /v1/{path.partition('?')[0]}", "", "GET", f"/v1/{path}")
