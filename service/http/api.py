"""The API: every room's operations joined, and the contract that they make."""

from __future__ import annotations

from threading import Lock
from typing import Any

import orjson
from flask import Flask
from flask.json.provider import JSONProvider
from flask_smorest import Api, Blueprint
from marshmallow import fields
from typing_extensions import override
from werkzeug.routing import BaseConverter

from service.http import health, metrics
from service.http.advice import batch, designations, kept_advice, size_advice
from service.http.calendar import tailors, week, worklists, workroom
from service.http.callers.cross_origin import answer_preflight, let_page_read
from service.http.callers.languages import tell_language
from service.http.callers.rate_limits import count_strays, tell_allowance
from service.http.contract import docs
from service.http.contract.catalogue import serve_catalogue
from service.http.contract.contract_words import ONE_OF
from service.http.contract.descriptions import describe
from service.http.contract.examples import give_examples
from service.http.contract.links import give_links
from service.http.contract.problem_pages import serve_problems
from service.http.contract.steps import serve_steps
from service.http.events import events, webhooks
from service.http.fitting import fit_checks, fit_points, hems
from service.http.guards import guarded
from service.http.orders import (
    bench_notes,
    bench_work,
    collection_slips,
    line_changes,
    made_to_measure,
    order_changes,
    order_groups,
    orders,
    outcomes,
    papers,
    quotes,
    waiting,
)
from service.http.people import customers, disclosures, histories, measurement_sets
from service.http.problems import answer_with_problems
from service.http.quantities import (
    QUANTITY,
    QUANTITY_CONTRACT,
    SIGNED_VALUE_CONTRACT,
    VALUE_CONTRACT,
    Out,
    SignedValue,
    Value,
)
from service.http.shop import alterations, charts, ease_table, finishing, price_list
from service.http.watch import watch

BODY_MOST_BYTES = 256 * 1024
# In the order of the day, and so are the tags of the contract.
ROOMS = (
    measurement_sets,
    designations,
    size_advice,
    batch,
    kept_advice,
    hems,
    fit_points,
    fit_checks,
    made_to_measure,
    alterations,
    quotes,
    waiting,
    orders,
    order_groups,
    bench_work,
    bench_notes,
    line_changes,
    order_changes,
    papers,
    collection_slips,
    worklists,
    workroom,
    week,
    tailors,
    finishing,
    outcomes,
    events,
    webhooks,
    charts,
    ease_table,
    price_list,
    customers,
    disclosures,
    histories,
    health,
    metrics,
)

DESCRIPTION = """
Size advice, fit checks, alteration orders and a promised day for a menswear shop.

Lengths go in as `{"value": "36 1/2", "unit": "in"}` (in, cm, mm; masses kg, lb, st) and come out with millimetres
and a tailor's text; `?units=in|cm` chooses the unit. Money is whole minor units with its ISO 4217 code. Every
refusal is a problem document (RFC 9457) whose `errors` point into the request. Requests are counted by the minute:
`RateLimit` says how many are left, and 429 with `Retry-After` that none is.
"""
# Of the contract, semantic: what is added raises the second number, what a caller need not notice the third.
VERSION = "1.0.0"
CONTACT = {"name": "Whoever runs this service for the shop"}


class OrjsonProvider(JSONProvider):
    """JSON by orjson: strict (no NaN, no infinities) and quick."""

    @override
    def dumps(self, obj: Any, **_: Any) -> str:
        return orjson.dumps(obj).decode()

    @override
    def loads(self, s: str | bytes, **_: Any) -> Any:
        return orjson.loads(s)


class ContractApi(Api):
    """Leaves errors to `problems`: every one of them is a problem document, none is flask-smorest's own.

    Rooms are described when somebody asks for the contract: that takes four times as long as the rest of a start.
    """

    DEFAULT_ERROR_RESPONSE_NAME = None

    def __init__(self, app: Flask) -> None:
        self._undescribed: list[Blueprint] = []
        self._describing = Lock()
        super().__init__(app)

    @override
    def register_blueprint(self, blp: Blueprint, *, parameters: None = None, **options: Any) -> None:
        self._app.extensions["flask-smorest"]["blp_name_to_api"][blp.name] = self
        self._app.register_blueprint(blp, **options)
        self._undescribed.append(blp)

    def document(self) -> dict[str, Any]:
        """What flask-smorest makes of the rooms."""
        with self._describing:
            for each in self._undescribed:
                each.register_views_in_doc(self, self._app, self.spec, name=each.name, parameters=None)
                self.spec.tag({"name": each.name, "description": each.description})
            self._undescribed.clear()
            made: dict[str, Any] = self.spec.to_dict()
        return made

    @override
    def _register_error_handlers(self) -> None:
        return

    @override
    def _register_responses(self) -> None:
        """None of its own either: they would stand in the contract unused."""

    @override
    def _register_pagination_header(self) -> None:
        """As above: lists have cursors and `Link`."""


def join(app: Flask) -> None:
    """Give the application its operations, its problem documents and its contract."""
    app.json = OrjsonProvider(app)
    app.config.update(
        API_TITLE="Fitting service",
        API_VERSION=VERSION,
        OPENAPI_VERSION="3.1.0",
        MAX_CONTENT_LENGTH=BODY_MOST_BYTES,
        API_SPEC_OPTIONS={
            "info": {"description": DESCRIPTION.strip(), "contact": CONTACT},
            "servers": [{"url": "/", "description": "where this contract was read"}],
            "webhooks": events.webhooks_contract(),
        },
    )
    watch(app)
    answer_with_problems(app)
    api = ContractApi(app)
    api.ma_plugin.converter.add_attribute_function(_contract_of_values)
    for converter in app.url_map.converters.values():
        if converter.__module__.startswith("service."):
            api.register_converter(converter, _contract_of_paths)
    api.spec.components.schema(QUANTITY, QUANTITY_CONTRACT)
    for name, schema in ONE_OF.items():
        api.spec.components.schema(name, schema=schema)
    api.spec.components.security_scheme("key", {"type": "http", "scheme": "bearer"})
    for room in ROOMS:
        api.register_blueprint(room.room, url_prefix=None if room in (health, metrics) else "/v1")
    app.extensions["contract"] = api
    serve_problems(app)
    serve_catalogue(app)
    docs.serve_docs(app, lambda: orjson.dumps(contract(app)))
    serve_steps(app)
    app.before_request(lambda: answer_preflight("/v1/"))
    app.before_request(count_strays)
    for step in (tell_language, guarded, let_page_read, tell_allowance):
        app.after_request(step)


def contract(app: Flask) -> dict[str, Any]:
    """The OpenAPI document, generated from the schemas."""
    api: ContractApi = app.extensions["contract"]
    document = api.document()
    describe(document, api.ma_plugin.converter.refs)
    give_examples(document)
    give_links(document)
    return document


def operations(app: Flask) -> list[str]:
    """Every operation in a line: method, path, the scope it needs (- for an open one)."""
    lines = []
    for rule in app.url_map.iter_rules():
        for method in sorted((rule.methods or set()) - {"HEAD", "OPTIONS"}):
            scope = getattr(app.view_functions[rule.endpoint], "scope", None)
            lines.append(f"{method:6} {rule.rule}  {scope if isinstance(scope, str) else '|'.join(scope or '-')}")
    return sorted(lines, key=lambda line: line.split()[1::-1])


def _contract_of_paths(converter: BaseConverter) -> dict[str, Any]:
    """What a part of a path is in the contract."""
    bound = {"maxLength": converter.longest} if hasattr(converter, "longest") else {}
    return {"type": "string", "pattern": f"^{converter.regex}$", **bound}


def _contract_of_values(_converter: Any, field: fields.Field[Any], **_: Any) -> dict[str, Any]:  # noqa: ANN401
    """What our own fields are in the contract."""
    if isinstance(field, SignedValue):
        return dict(SIGNED_VALUE_CONTRACT)
    if isinstance(field, Value):
        return dict(VALUE_CONTRACT)
    if isinstance(field, Out):
        named = {"$ref": f"#/components/schemas/{QUANTITY}"}
        return {"anyOf": [named, {"type": "null"}]} if field.allow_none else named
    return {}
