"""A release's day, seen from outside: by what has been there since the first one, whatever the release.

Opens a shop, gives a key, asks every example of the release's own contract that needs nothing first, places an order
and moves it; then the same in the shops that are named. Prints the new shop and what was answered, as JSON.
"""

import json
import sys
from pathlib import Path

from click.testing import CliRunner

import service
from service.app import create_app
from service.console import main
from service.http.api import contract

OPEN = ("add-shop", "Corner Tailors", "--time-zone", "Europe/Dublin", "--currency", "EUR", "--plain-hem", "1200")


def say(*words):
    return CliRunner().invoke(main, list(words), catch_exceptions=False).output.strip()


class Day:
    """One shop's day; `answers` holds each status by what was asked."""

    def __init__(self, app, shop, which):
        (scopes,) = (each.type.choices for each in main.commands["add-key"].params if each.name == "scopes")
        key = say("add-key", shop, "all", *(f"--scope={scope}" for scope in scopes))
        self.headers = {"Authorization": f"Bearer {key}"}
        self.client, self.shop, self.which, self.answers = app.test_client(), shop, which, {}

    def ask(self, method, path, document=None, **headers):
        return self.client.open(path, method=method, json=document, headers={**self.headers, **headers})

    def note(self, what, value):
        self.answers[f"{what} {self.which}"] = value

    def live(self, document):
        for path, item in document["paths"].items():
            for method, operation in item.items():
                if "{" not in path and method in ("get", "post", "put"):
                    self._operation(method, path, operation)
        made = self.ask("GET", "/v1/orders").get_json()["orders"]
        self.note("orders", len(made))
        for to in ("accepted", "in_workroom"):
            version = self.ask("GET", f"/v1/orders/{made[0]['id']}").headers["ETag"]
            asked = {"to": to, "by": "tailor-1"}
            moved = self.ask("POST", f"/v1/orders/{made[0]['id']}/moves", asked, **{"If-Match": version})
            self.note(f"move to {to}", moved.status_code)

    def _operation(self, method, path, operation):
        media = operation.get("requestBody", {}).get("content", {}).get("application/json", {})
        if method != "get" and "example" not in media:
            return
        headers = {"Idempotency-Key": f"{path}-{self.shop}-{self.which}"} if method == "post" else {}
        if method == "put":
            headers = {"If-Match": self.ask("GET", path).headers.get("ETag", '"1"')}
        document = media.get("example")
        if document and "advice_id" in document:
            # Signed by the service that gave it: this one's own.
            advised = self.ask("POST", "/v1/size-advice", document["asked"] | {"advice_ids": True}).get_json()
            document = document | {"advice_id": advised["plans"][0]["advice_id"]}
        answer = self.ask(method.upper(), path, document, **headers)
        self.note(f"{method} {path}", answer.status_code)


if not Path(service.__file__).is_relative_to(Path.cwd()):
    sys.exit(f"another release runs: {service.__file__}")
opened = say(*OPEN)
application = create_app()
days = [Day(application, shop, which) for shop, which in zip([opened, *sys.argv[1:]], ("new", "old"), strict=False)]
for day in days:
    day.live(contract(application))
print(json.dumps({"shop": opened, "answers": {name: value for day in days for name, value in day.answers.items()}}))
