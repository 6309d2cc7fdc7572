"""A till that sells alterations: what it rings up is never lost and never doubled, whatever happens to the line.

Each sale is written into a file, with its idempotency key, before anything is sent. Then it goes on step by step: the
order is placed, its charges go into the basket, its slip is printed. A step that fails is tried again, with the same
key, and a till that was switched off in the middle goes on where it was. Standard library only, to be read and copied.

    python3 demo/till.py QUEUE ring-up SALE SHEET.json   writes a sale into the queue; works with the line down
    python3 demo/till.py QUEUE send [--for SECONDS]      brings every sale on as far as it goes; 0 if all are done
    python3 demo/till.py QUEUE basket SALE               the lines to be paid, and their sum
    python3 demo/till.py QUEUE list                      every sale and where it stands

QUEUE is the file. BASE_URL and TILL_KEY say where the service is; ./demo/run writes both to demo/.shop/keys.env.
"""

# ruff: noqa: INP001, T201  a script of the demo, and printing is its purpose

from __future__ import annotations

import argparse
import json
import os
import sqlite3
import sys
import time
import urllib.error
import urllib.request
import uuid
from contextlib import closing
from dataclasses import dataclass, replace
from http.client import HTTPException
from pathlib import Path
from typing import Any

TABLES = """
CREATE TABLE IF NOT EXISTS sales (
  sale TEXT PRIMARY KEY, key TEXT NOT NULL UNIQUE, sheet TEXT NOT NULL, state TEXT NOT NULL,
  tries INTEGER NOT NULL DEFAULT 0, not_before REAL NOT NULL DEFAULT 0,
  order_id TEXT, number TEXT, promised_for TEXT, said TEXT, slip TEXT);
CREATE TABLE IF NOT EXISTS basket (
  sale TEXT NOT NULL REFERENCES sales, at INTEGER NOT NULL, code TEXT NOT NULL, words TEXT NOT NULL,
  minor INTEGER NOT NULL, currency TEXT NOT NULL, tax_category TEXT NOT NULL, PRIMARY KEY (sale, at));
"""
# Each state is left by one step; `printed` is the end, and so is `refused`, which a person has to look at.
WAITING, PLACED, CHARGED, PRINTED, REFUSED = "waiting", "placed", "charged", "printed", "refused"
# What may be right later. A key that is refused may be given anew: the sale waits for it.
TRY_AGAIN = {401, 403, 408, 425, 429, 500, 502, 503, 504}
# However slow the service is: it lets no answer take longer.
LONGEST_ANSWER_SECONDS = 60.0
_OPENER = urllib.request.build_opener(urllib.request.ProxyHandler({}))


class LineDown(Exception):
    """No answer, or one that says to come again: nothing is known of what the service did.

    `for_all` says that another sale would fare no better just now.
    """

    def __init__(self, words: str, wait_seconds: float | None = None, *, for_all: bool = True) -> None:
        super().__init__(words)
        self.wait_seconds = wait_seconds
        self.for_all = for_all


class RungUpOtherwise(Exception):
    """The sale stands in the queue already, with another sheet."""


@dataclass(frozen=True)
class Service:
    """Where the service is, and the till's key."""

    base_url: str
    key: str
    timeout_seconds: float = 10.0

    def patient(self, tries: int) -> Service:
        """The same, waited for longer with each try: one just started is slow at first."""
        longer = min(self.timeout_seconds * 2 ** min(tries, 16), LONGEST_ANSWER_SECONDS)
        return replace(self, timeout_seconds=max(self.timeout_seconds, longer))

    def ask(self, method: str, path: str, body: str | None = None, **headers: str) -> tuple[int, str]:
        """Status and text of an answer of the service's own that is final. Raises LineDown."""
        sent = {name.replace("_", "-"): said for name, said in headers.items()}
        sent |= {"Authorization": f"Bearer {self.key}", "Content-Type": "application/json"}
        data = None if body is None else body.encode()
        request = urllib.request.Request(self.base_url + path, data, sent, method=method)  # noqa: S310  our own
        try:
            with _OPENER.open(request, timeout=self.timeout_seconds) as answer:
                status, kind, text = answer.status, answer.headers.get_content_type(), answer.read().decode()
        except urllib.error.HTTPError as refused:
            with refused:
                if refused.code in TRY_AGAIN:
                    wait = refused.headers.get("Retry-After", "")
                    raise LineDown(
                        f"answered {refused.code}",
                        float(wait) if wait.isdigit() else None,
                        for_all=refused.code != 500,  # noqa: PLR2004  a fault may be of this sale alone
                    ) from refused
                status, kind, text = refused.code, refused.headers.get_content_type(), refused.read().decode()
        except (OSError, HTTPException, ValueError) as away:  # no line, one cut in the middle, half an answer
            raise LineDown(str(away)) from away
        if kind not in ("application/json", "application/problem+json", headers.get("Accept")):
            raise LineDown(f"something else answered, with {kind}")  # a proxy, or a hotel's own page
        return status, text


class Till:
    """The queue in its file. Every change of it is one transaction, on the disk before the next step."""

    def __init__(self, file: Path, service: Service, longest_wait_seconds: float = 60.0) -> None:
        self._service = service
        self._longest_wait_seconds = longest_wait_seconds
        self._queue = sqlite3.connect(file, isolation_level=None, timeout=30)
        self._queue.row_factory = sqlite3.Row
        self._queue.execute("PRAGMA synchronous = FULL")
        self._queue.executescript(TABLES)

    def close(self) -> None:
        """Leave the file; nothing is lost by not calling this."""
        self._queue.close()

    def ring_up(self, sale: str, sheet: dict[str, Any]) -> None:
        """Write a sale into the queue, with a key of its own; the same sale once more changes nothing.

        Raises RungUpOtherwise where it stands there with another sheet.
        """
        text = json.dumps({**sheet, "sale_ref": sale}, sort_keys=True)
        self._queue.execute(
            "INSERT INTO sales (sale, key, sheet, state) VALUES (?, ?, ?, ?) ON CONFLICT (sale) DO NOTHING",
            (sale, str(uuid.uuid4()), text, WAITING),
        )
        if self.sale(sale)["sheet"] != text:
            raise RungUpOtherwise(sale)

    def sale(self, sale: str) -> sqlite3.Row:
        """A sale as it stands in the queue."""
        found: sqlite3.Row = self._queue.execute("SELECT * FROM sales WHERE sale = ?", (sale,)).fetchone()
        return found

    def sales(self) -> list[sqlite3.Row]:
        """All sales, in the order in which they were rung up."""
        return self._queue.execute("SELECT * FROM sales ORDER BY rowid").fetchall()

    def basket(self, sale: str) -> list[sqlite3.Row]:
        """The lines to be paid."""
        return self._queue.execute("SELECT * FROM basket WHERE sale = ? ORDER BY at", (sale,)).fetchall()

    def unfinished(self) -> list[sqlite3.Row]:
        """Sales that still have a step before them."""
        return [each for each in self.sales() if each["state"] not in (PRINTED, REFUSED)]

    def send(self, seconds: float = 0.0) -> bool:
        """Bring every sale on as far as it goes, trying again for so long; true if none is left."""
        until = time.monotonic() + seconds
        while self.unfinished():
            due = [each for each in self.unfinished() if each["not_before"] <= time.time()]
            for each in due:
                if not self._bring_on(each["sale"]):
                    break
            left = self.unfinished()
            if not left or time.monotonic() >= until:
                break
            soonest = min(each["not_before"] for each in left) - time.time()
            time.sleep(max(0.0, min(soonest, until - time.monotonic())))
        return not self.unfinished()

    def _bring_on(self, sale: str) -> bool:
        """Step after step; false if the line is down for the others too."""
        steps = {WAITING: self._place, PLACED: self._charge, CHARGED: self._print}
        while (state := self.sale(sale)["state"]) in steps:
            try:
                steps[state](self.sale(sale))
            except LineDown as down:
                self._wait(sale, down)
                return not down.for_all
        return True

    def _wait(self, sale: str, down: LineDown) -> None:
        """Longer with each try; where the line is down, all wait that long."""
        tries = self.sale(sale)["tries"] + 1
        wait = down.wait_seconds if down.wait_seconds is not None else 0.25 * 2 ** min(tries, 16)
        not_before = time.time() + min(wait, self._longest_wait_seconds)
        self._queue.execute(
            "UPDATE sales SET tries = ?, not_before = ?, said = ? WHERE sale = ?", (tries, not_before, str(down), sale)
        )
        if down.for_all:
            self._queue.execute("UPDATE sales SET not_before = ? WHERE not_before < ?", (not_before, not_before))

    def _place(self, sale: sqlite3.Row) -> None:
        """With the key of the queue: if the service placed it and its answer was lost, it answers the same again."""
        service = self._service.patient(sale["tries"])
        status, text = service.ask("POST", "/v1/orders", sale["sheet"], Idempotency_Key=sale["key"])
        answer = json.loads(text)
        if status != 201:  # noqa: PLR2004
            self._refused(sale, answer)
            return
        self._queue.execute(
            "UPDATE sales SET state = ?, order_id = ?, number = ?, promised_for = ?, tries = 0, said = NULL"
            " WHERE sale = ?",
            (PLACED, answer["id"], answer["number"], answer["promised_for"], sale["sale"]),
        )

    def _charge(self, sale: sqlite3.Row) -> None:
        """All lines and the new state in one transaction: no line is in the basket twice."""
        service = self._service.patient(sale["tries"])
        status, text = service.ask("GET", f"/v1/orders/{sale['order_id']}/charges")
        answer = json.loads(text)
        if status != 200:  # noqa: PLR2004
            self._refused(sale, answer)
            return
        lines = [
            (sale["sale"], at, each["alteration"] or "rush", each["words"], *paid(each["amount"]), each["tax_category"])
            for at, each in enumerate(answer["charges"], start=1)
        ]
        self._queue.execute("BEGIN IMMEDIATE")
        self._queue.executemany("INSERT INTO basket VALUES (?, ?, ?, ?, ?, ?, ?)", lines)
        self._queue.execute("UPDATE sales SET state = ?, tries = 0 WHERE sale = ?", (CHARGED, sale["sale"]))
        self._queue.execute("COMMIT")

    def _print(self, sale: sqlite3.Row) -> None:
        """The customer's slip on the paper, once the queue has it: it can always be printed again."""
        path = f"/v1/orders/{sale['order_id']}/customer-slip"
        status, text = self._service.patient(sale["tries"]).ask("GET", path, Accept="text/plain")
        if status != 200:  # noqa: PLR2004
            self._refused(sale, json.loads(text))
            return
        self._queue.execute(
            "UPDATE sales SET state = ?, slip = ?, said = NULL WHERE sale = ?", (PRINTED, text, sale["sale"])
        )
        print(text, flush=True)

    def _refused(self, sale: sqlite3.Row, problem: dict[str, Any]) -> None:
        """What is wrong stays wrong however often it is sent: a person looks at it."""
        said = "; ".join(each["detail"] for each in problem["errors"]) or problem["detail"]
        self._queue.execute("UPDATE sales SET state = ?, said = ? WHERE sale = ?", (REFUSED, said, sale["sale"]))


def paid(amount: dict[str, Any]) -> tuple[int, str]:
    """Money as the basket keeps it."""
    return amount["minor"], amount["currency"]


def known_service() -> Service:
    """From the environment, or from the file that demo/run wrote."""
    file = Path(__file__).parent / ".shop" / "keys.env"
    lines = file.read_text("utf-8").splitlines() if file.exists() else []
    found = dict(line.split("=", 1) for line in lines if "=" in line) | dict(os.environ)
    if not {"BASE_URL", "TILL_KEY"} <= found.keys():
        sys.exit("demo/till.py: BASE_URL and TILL_KEY are not known; start the shop first: ./demo/run")
    return Service(found["BASE_URL"], found["TILL_KEY"])


def told(sale: sqlite3.Row) -> str:
    """A sale in a line."""
    number = f", order {sale['number']}, promised for {sale['promised_for']}" if sale["number"] else ""
    return f"{sale['sale']}: {sale['state']}{number}" + (f" ({sale['said']})" if sale["said"] else "")


def main() -> int:
    """Do what the words say; 0 if all is well."""
    words = argparse.ArgumentParser(prog="demo/till.py", description="A till that sells alterations.")
    words.add_argument("queue", type=Path)
    kinds = words.add_subparsers(dest="command", required=True)
    ring_up = kinds.add_parser("ring-up")
    ring_up.add_argument("sale")
    ring_up.add_argument("sheet", type=Path)
    send = kinds.add_parser("send")
    send.add_argument("--for", dest="seconds", type=float, default=0.0, help="how long to try again")
    send.add_argument("--longest-wait", type=float, default=60.0, help="seconds between two tries")
    kinds.add_parser("basket").add_argument("sale")
    kinds.add_parser("list")
    asked = words.parse_args()
    with closing(Till(asked.queue, known_service(), getattr(asked, "longest_wait", 60.0))) as till:
        if asked.command == "ring-up":
            till.ring_up(asked.sale, json.loads(asked.sheet.read_text("utf-8")))
        elif asked.command == "basket":
            lines = till.basket(asked.sale)
            for each in lines:
                print(f"{each['words']}  {each['minor'] / 100:.2f} {each['currency']}  {each['tax_category']}")
            print(f"to pay  {sum(each['minor'] for each in lines) / 100:.2f}")
        elif asked.command == "send":
            done = till.send(asked.seconds)
            for each in till.sales():
                print(told(each), file=sys.stderr)
            return 0 if done and all(each["state"] == PRINTED for each in till.sales()) else 1
        else:
            for each in till.sales():
                print(told(each))
    return 0


if __name__ == "__main__":
    sys.exit(main())
