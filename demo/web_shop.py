"""The web shop's part of the day: its page with the size adviser, and what a browser lets that page ask."""

# ruff: noqa: INP001, T201  a script of the demo, and printing is its purpose

from __future__ import annotations

import urllib.request
from typing import Any

from asking import Counter, Wrong, heading, judged
from fitting_room import said

OPENER = urllib.request.build_opener(urllib.request.ProxyHandler({}))


def fetched(url: str) -> tuple[str, dict[str, str]]:
    """A file of the page, and what was said with it."""
    try:
        with OPENER.open(url, timeout=10) as response:
            return response.read().decode(), dict(response.headers)
    except OSError as away:
        raise Wrong(f"expected: {url}\ncame:     {away}") from away


def the_shops_page(counter: Counter) -> None:
    """The page stands at an origin of its own; its key asks from there, for advice, and does nothing else."""
    heading(
        "The shop's page",
        f"It stands at {counter.page_url}, another origin than the service, with the size adviser on it and a key that "
        "everybody can read. What would a browser do?",
    )
    page, headers = fetched(f"{counter.page_url}/")
    for needed in ("<size-adviser", counter.keys["page"], counter.base_url):
        counter.check(needed in page, f"{needed} on the page", page)
    allowed = headers.get("Content-Security-Policy", "")
    counter.check(f"connect-src 'self' {counter.base_url};" in allowed, "a page that may ask the service only", allowed)
    script, _ = fetched(f"{counter.page_url}/size-adviser.js")
    counter.check("customElements.define" in script, "the adviser", script[:200], "the page, its adviser and its key")

    origin = {"Origin": counter.page_url}
    first = {**origin, "Access-Control-Request-Method": "POST", "Access-Control-Request-Headers": "authorization"}
    asked = counter.ask("a browser", "OPTIONS /v1/size-advice", gives=204, headers=first)
    may = asked.headers.get("Access-Control-Allow-Origin")
    counter.check(may == counter.page_url, counter.page_url, may, "the browser lets the page ask")
    body: dict[str, Any] = {
        "readings": [said("stature", 178, "cm"), said("body_mass", 76, "kg")],
        "age_years": 34,
        "charts": ["everyday"],
        "limit": 1,
    }
    answer = counter.ask("page", "POST /v1/size-advice", body, headers=origin, read=judged)
    may = answer.headers.get("Access-Control-Allow-Origin")
    counter.check(may == counter.page_url, counter.page_url, may, "and read the answer")
    print("\nSomebody copies the key onto a page of his own; and somebody tries to read the orders with it.")
    other = {"Origin": "https://elsewhere.example"}
    refused = counter.ask("page", "POST /v1/size-advice", body, gives=403, headers=other, told="(the same)").document
    counter.check(refused["code"] == "origin_not_allowed", "origin_not_allowed", refused)
    refused = counter.ask("page", "GET /v1/orders", gives=403, headers=origin).document
    counter.check(refused["code"] == "page_may_not", "page_may_not", refused, "refused both times")
