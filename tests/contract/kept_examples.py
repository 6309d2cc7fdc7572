"""What was asked and answered in a day, kept by operation as the contract's examples: the first of each kind."""

from service.http.contract.examples import DRAWN
from tests.client import PROBLEM

METHODS = ("get", "put", "post", "delete", "patch")
# Counts and times of a run: of these, what each figure means.
METRICS = "read_metrics"


class Kept:
    """The first request of each operation that was answered well, its answers, and its refusals by status."""

    def __init__(self, contract):
        self.examples = {}
        self.printed = {}
        self._contract = contract

    def add(self, method, path, document, answer, view):
        operation = self._operation_at(method, path)
        media = answer.headers.get("Content-Type", "").partition(";")[0]
        if operation is None or not media:
            return
        mine = self.examples.setdefault(operation, {"answers": {}, "refusals": {}})
        status = str(answer.status)
        if media == PROBLEM:
            mine["refusals"].setdefault(status, answer.body)
            return
        if document is not None:
            mine.setdefault("request", document)
        body = answer.body
        if operation == METRICS:
            body = "".join(line for line in body.splitlines(keepends=True) if line.startswith("#"))
        if media in DRAWN:
            body = f"{operation}.{DRAWN[media]}"
            self.printed.setdefault(body, answer.raw)
        if media.endswith("ndjson"):
            body = answer.lines[0]
        mine["answers"].setdefault(status, {}).setdefault(media, {}).setdefault(view, body)

    def events(self, events):
        """Keep the first event of each type, as webhooks are sent it."""
        for event in events:
            self.examples.setdefault("webhooks", {}).setdefault(event["type"], event)

    def request_of(self, operation):
        """The method of an operation, and the body that the contract has for an example of it."""
        return next(
            (method, said["requestBody"]["content"]["application/json"].get("example"))
            for method, _, said in self.operations()
            if said["operationId"] == operation
        )

    def operations(self):
        """Every operation: its method, its path and what the contract says of it."""
        return [
            (method.upper(), path, item[method])
            for path, item in self._contract.document["paths"].items()
            for method in METHODS
            if method in item
        ]

    def _operation_at(self, method, path):
        endpoint, _ = self._contract.app.url_map.bind("localhost").match(path.partition("?")[0], method)
        return endpoint.rpartition(".")[2] if "." in endpoint else None
