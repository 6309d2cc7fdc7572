"""A day on the floor's screens, on two tablets, against the service as gunicorn serves it: how long each answer takes.

python -m tests.bench.floor   a row for each kind of request, the slowest first; figures of this machine, no ratio
"""

from __future__ import annotations

import os
import re
import statistics
import tempfile
from collections import defaultdict
from pathlib import Path
from typing import Any

import urllib3
from playwright.sync_api import expect

from service.tailoring.work.prices import PriceList
from service.use_cases.shop.shops import open_shop
from tests.chromium import running_browser
from tests.databases import migrated
from tests.days import Clock
from tests.demo.charts import everyday
from tests.demo.floor import floors
from tests.demo.floor.fittings import find_at_counter, fitting
from tests.demo.floor.sewing import answer, check_and_press, move, sew, state_of
from tests.faults.under_gunicorn import served
from tests.serving import serving
from tests.shops import UNHURRIED_SETTINGS, new_desk

DAYS = 3
MOST_MS = 200
IDS = re.compile(r"[0-9a-f]{8}-[0-9a-f-]{27}|\d{4}-\d\d-\d\d|(?<=number=)\d+|(?<=_ref=)[^&]+")


class Answers:
    """Milliseconds and bytes of every answer, by what was asked."""

    def __init__(self) -> None:
        self.of: dict[str, list[tuple[float, int]]] = defaultdict(list)

    def take(self, requests: list[Any]) -> None:
        """What was answered; while its page is open."""
        for request in requests:
            path = "/" + request.url.split("/", 3)[3]
            if path.startswith("/v1/"):
                timing, size = request.timing, request.sizes()["responseBodySize"]
                asked = f"{request.method} {IDS.sub('…', path)}"
                self.of[asked].append((timing["responseEnd"] - max(timing["requestStart"], 0), size))

    def told(self) -> None:
        print(f"{'asked':74} {'times':>5} {'median':>7} {'most':>7} {'bytes':>8}")
        rows = sorted(self.of.items(), key=lambda each: -statistics.median(ms for ms, _ in each[1]))
        for asked, found in rows:
            times = [ms for ms, _ in found]
            largest = max(size for _, size in found)
            print(f"{asked[:74]:74} {len(times):5} {statistics.median(times):7.0f} {max(times):7.0f} {largest:8}")
        times = [ms for found in self.of.values() for ms, _ in found]
        over = sum(ms > MOST_MS for ms in times)
        print(f"{len(times)} answers, {over} of them over {MOST_MS} ms; median {statistics.median(times):.0f} ms")
        print(f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")


def main() -> None:
    with tempfile.TemporaryDirectory() as name, running_browser() as browser:
        folder = Path(name)
        url = migrated(f"sqlite:///{folder}/bench.sqlite3")
        desk = new_desk(url, Clock())
        shop = open_shop(desk, "Corner Tailors", "Europe/Dublin", PriceList())
        keys = floors.keys_of(desk, shop)
        answers = Answers()
        with served(folder, url, FITTING_WORKERS="2", **UNHURRIED_SETTINGS) as running:
            api = f"http://127.0.0.1:{running.port}"
            _set_up(api, keys["admin"])
            with serving(
                floors.floor.floor_app(floors.floor.Service(api, keys), floors.signed_up(folder / "staff.json"))
            ) as address:
                for _ in range(DAYS):
                    _day(browser, address, answers)
        desk.database.close()
        answers.told()


def _set_up(api: str, key: str) -> None:
    pool, headers = urllib3.PoolManager(), {"Authorization": f"Bearer {key}"}
    answers = [pool.request("PUT", f"{api}/v1/charts/everyday", json=everyday(), headers=headers)]
    for who in ("tailor-1", "tailor-2"):
        tailor = {"benches": floors.ALL_BENCHES, "minutes_a_day": 420}
        answers.append(pool.request("PUT", f"{api}/v1/tailors/{who}", json=tailor, headers=headers))
    if not all(each.status in (200, 201) for each in answers):
        raise SystemExit(f"the shop is not set up: {[each.data for each in answers]}")
    pool.clear()


def _day(browser: Any, address: str, answers: Answers) -> None:
    """As the tests' day goes: from the tape to the customer's hands, with a look into every room."""
    first, second = floors.Tablet(browser, address), floors.Tablet(browser, address.replace("127.0.0.1", "localhost"))
    requests: list[Any] = []

    def taken(request: Any) -> None:
        requests.append(request)

    for tablet in (first, second):
        tablet.page.on("requestfinished", taken)
    first.sign_in("fitter-1")
    second.sign_in("tailor-1")
    number = fitting(first)
    first.tap("Ticket and tags")
    expect(first.page.locator(".paper-shown img")).to_be_visible()
    first.tap(first.page.locator("dialog").get_by_role("button", name="Close"))
    expect(first.page.locator("dialog")).to_have_count(0)
    sew(second, number)
    answer(first, number)
    move(second, 1, "sewn", "sewn")
    move(second, 2, "sewn", "sewn")
    second.tap("Lock")
    second.sign_in("tailor-2")
    check_and_press(second, number, ((1, 1), (2, 2)))
    first.tap("@close order", "Calendar")
    first.sees("Every promise can be kept.")
    first.tap("Prices", first.page.locator("summary", has_text="Trousers"), "Today")
    first.sees("Promised for today")
    find_at_counter(first, number)
    for piece in (2, 1):
        state_of(first, piece, "ready")
        first.tap(f"@move {piece} collected", "@do it")
        state_of(first, piece, "collected")
    for tablet in (first, second):
        tablet.page.remove_listener("requestfinished", taken)
    answers.take(requests)
    for tablet in (first, second):
        tablet.close()


if __name__ == "__main__":
    main()
