"""A caller for tests: asks over HTTP, and holds every answer to the contract."""

import re
from dataclasses import dataclass
from functools import cache
from typing import Any
from urllib.parse import unquote

import orjson
from jsonschema_rs import Draft202012Validator, Registry
from werkzeug.exceptions import HTTPException

from service.http.api import contract
from service.http.refusals.words import WORDS
from service.tongues.tags import BRITISH, TAGS
from service.tongues.tongues import tongue

PROBLEM = "application/problem+json"
NOT_MODIFIED = 304
BINARY = ("application/pdf", "application/octet-stream")
_BASE = "urn:contract"


class NotInContract(AssertionError):
    """The service answered what its contract does not say."""


@dataclass(frozen=True)
class Answer:
    """An answer that keeps to the contract; `body` is its document, or its text."""

    status: int
    headers: Any
    raw: bytes
    body: Any

    @property
    def lines(self):
        """The documents of an answer in JSON Lines."""
        return [orjson.loads(line) for line in self.raw.splitlines()]

    @property
    def problem(self):
        """A refusal in short: status, code, and where its errors point."""
        return self.status, self.body["code"], [error["pointer"] for error in self.body["errors"]]


def read(response):
    """The document of an answer, or its text."""
    if response.mimetype in BINARY:
        # JSON Schema knows no bytes: each stands as one letter.
        return response.data.decode("latin-1")
    is_json = response.mimetype in ("application/json", PROBLEM)
    return orjson.loads(response.data) if is_json and response.data else response.get_data(as_text=True)


class _Schemas:
    """The contract, and what its schemas find wrong. It is made of the code alone: of whichever application."""

    def __init__(self, app):
        self.document = contract(app)
        self._registry = Registry([(_BASE, _closed(self.document))])
        self.validator = cache(self._built)

    def _built(self, pointer):
        # Every answer of thousands of tests comes by here: compiled, it takes a hundredth of what Python's own takes.
        schema = {"$ref": f"{_BASE}#{pointer}"}
        return Draft202012Validator(schema, registry=self._registry, validate_formats=True)


class Contract:
    """The contract of an application, for checking answers."""

    _first: _Schemas | None = None

    def __init__(self, app):
        self.app = app

    @property
    def _schemas(self):
        if Contract._first is None:
            Contract._first = _Schemas(self.app)
        return Contract._first

    @property
    def document(self):
        return self._schemas.document

    def check(self, method, path, response):
        """Raise NotInContract where the status, the media type or the body is not documented."""
        where = f"{method} {path} answered {response.status_code}"
        operation = self._operation(method, path)
        if operation is None:
            # No such address, or not by this method: a problem document all the same.
            self._check_body(where, "/components/schemas/Problem", response, PROBLEM)
            return
        pointer, responses = operation
        said = responses.get(str(response.status_code))
        if said is None:
            raise NotInContract(f"{where}: not a documented status")
        if response.status_code == NOT_MODIFIED:
            if response.data:
                raise NotInContract(f"{where} with a body")
        else:
            self._check_content(where, pointer, said, response)
        for name, header in said.get("headers", {}).items():
            if header.get("required") and name not in response.headers:
                raise NotInContract(f"{where} without the header {name}")

    def _check_content(self, where, pointer, said, response):
        if response.mimetype not in said["content"]:
            raise NotInContract(f"{where} as {response.mimetype}; documented is {list(said['content'])}")
        media = response.mimetype.replace("/", "~1")
        schema = f"{pointer}/responses/{response.status_code}/content/{media}/schema"
        self._check_body(where, schema, response, response.mimetype)

    def _operation(self, method, path):
        try:
            rule, _ = self.app.url_map.bind("localhost").match(unquote(path), method, return_rule=True)
        except HTTPException:
            return None
        template = re.sub(r"<(?:\w+:)?(\w+)>", r"{\1}", rule.rule)
        found = self.document["paths"].get(template, {}).get(method.lower())
        if found is None:
            raise NotInContract(f"{method} {rule.rule} stands not in the contract")
        escaped = template.replace("~", "~0").replace("/", "~1").replace("{", "%7B").replace("}", "%7D")
        return f"/paths/{escaped}/{method.lower()}", found["responses"]

    def _check_body(self, where, pointer, response, media):
        if response.mimetype != media:
            raise NotInContract(f"{where} as {response.mimetype}, not {media}")
        # Of JSON Lines every line is held to the schema.
        lines = media.endswith("ndjson")
        values = [orjson.loads(line) for line in response.data.splitlines()] if lines else [read(response)]
        found = (fault for value in values for fault in self.faults_of(pointer, value))
        faults = [f"{fault.instance_path}: {fault.message[:200]}" for fault in found]
        if faults:
            raise NotInContract(f"{where}: {faults}")
        if response.headers.get("Content-Language") == BRITISH:
            self._check_said(where, values)

    def _check_said(self, where, values):
        """Whoever reads another language is given every notice in it."""
        for notice in (each for value in values for each in _notices_in(value)):
            text = notice["text"]
            missing = [tag for tag in TAGS if tag != BRITISH and not tongue(tag).knows(text)]
            if missing:
                raise NotInContract(f"{where}: in {missing} there are no words for the notice {text!r}")

    def faults_of(self, pointer, value):
        """What the schema at this place of the contract finds wrong with a value."""
        return list(self._schemas.validator(pointer).iter_errors(value))


def _notices_in(value):
    """The notices of an answer, and of each of a batch; a short view has only their codes."""
    if isinstance(value, dict):
        for part in (value, *value.get("answers", ())):
            yield from (each for each in part.get("warnings", ()) if isinstance(each, dict))


def _closed(document):
    """The contract without what it leaves open to later fields and codes: today's answers have no other."""
    schemas = dict(document["components"]["schemas"])
    for name, schema in schemas.items():
        if "properties" in schema:
            schemas[name] = {"additionalProperties": False, **schema}
    for name in ("Problem", "Fault"):
        coded = {"code": {"enum": sorted(WORDS)}}
        schemas[name] = {**schemas[name], "properties": schemas[name]["properties"] | coded}
    return {**document, "components": {**document["components"], "schemas": schemas}}


class Client:
    """Somebody with a key (or without) who calls the service."""

    def __init__(self, contract, key=None, always=None):
        self._contract = contract
        self._key = key
        self._always = always or {}

    def get(self, path, **more):
        return self.ask("GET", path, **more)

    def post(self, path, document=None, **more):
        return self.ask("POST", path, document, **more)

    def ask(self, method, path, document=None, *, data=None, headers=None, query=None, key=None):
        """Send a document as JSON, or `data` as it stands; `key` is the Idempotency-Key."""
        sent = self._always | ({"Authorization": f"Bearer {self._key}"} if self._key else {})
        if document is not None:
            data = orjson.dumps(document)
        if data is not None:
            sent["Content-Type"] = "application/json"
        if key:
            sent["Idempotency-Key"] = key
        sent |= headers or {}
        sent = {name: value for name, value in sent.items() if value is not None}
        response = self._contract.app.test_client().open(
            path, method=method, data=data, headers=sent, query_string=query
        )
        self._contract.check(method, path.partition("?")[0], response)
        return Answer(response.status_code, response.headers, response.data, read(response))
