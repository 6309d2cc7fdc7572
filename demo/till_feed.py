"""A till that follows what becomes of its orders, and notices when the service went back to a backup.

It keeps the cursor of the last event that it knows in the queue's file. Where the service refuses that cursor, it was
restored from a backup: the till looks for every order that it holds, and places those that are gone once more, with the
key of before. Standard library only, to be read and copied.

    python3 demo/till_feed.py QUEUE [--for SECONDS]      hears what is new; 0 if the queue is done

QUEUE is the file of demo/till.py, which rings up and sends.
"""

# ruff: noqa: INP001, T201  a script of the demo, and printing is its purpose

from __future__ import annotations

import argparse
import json
import sqlite3
import sys
from contextlib import closing
from pathlib import Path
from typing import Any

from till import PRINTED, REFUSED, WAITING, LineDown, Service, Till, known_service

TABLES = """
CREATE TABLE IF NOT EXISTS heard (only INTEGER PRIMARY KEY CHECK (only = 1), cursor TEXT NOT NULL);
INSERT OR IGNORE INTO heard VALUES (1, '0');
CREATE TABLE IF NOT EXISTS followed (order_id TEXT PRIMARY KEY, state TEXT NOT NULL, promised_for TEXT);
"""
RESTORED = ("cursor_ahead", "cursor_of_before")


class Follower:
    """The till's ear: reads the feed of events from where it was, in the queue's own file."""

    def __init__(self, file: Path, service: Service) -> None:
        self._service = service
        self._queue = sqlite3.connect(file, isolation_level=None, timeout=30)
        self._queue.row_factory = sqlite3.Row
        self._queue.executescript(TABLES)

    def close(self) -> None:
        """Leave the file; nothing is lost by not calling this."""
        self._queue.close()

    @property
    def cursor(self) -> str:
        """The cursor of the last event that it knows."""
        return str(self._queue.execute("SELECT cursor FROM heard").fetchone()["cursor"])

    def state_of(self, sale: str) -> str | None:
        """The state of a sale's order, as far as it was heard."""
        words = "SELECT followed.state FROM followed JOIN sales USING (order_id) WHERE sale = ?"
        row = self._queue.execute(words, (sale,)).fetchone()
        return row["state"] if row else None

    def hear(self) -> None:
        """Read on until there is nothing new. Raises LineDown; what was heard till then is kept."""
        while True:
            status, text = self._service.ask("GET", f"/v1/events?after={self.cursor}")
            answer = json.loads(text)
            if status == 409 and answer["code"] in RESTORED:  # noqa: PLR2004
                self._look_for_orders(answer)
            elif status != 200:  # noqa: PLR2004
                raise LineDown(answer["detail"])
            elif self._keep(answer):
                return

    def _keep(self, page: dict[str, Any]) -> bool:
        """The events and the cursor after them in one transaction; true if there were none."""
        told = [each["data"] for each in page["events"]]
        with self._queue:
            self._queue.execute("BEGIN IMMEDIATE")
            self._queue.executemany(
                "INSERT INTO followed VALUES (:order, :state, :promised_for)"
                " ON CONFLICT DO UPDATE SET state = excluded.state, promised_for = excluded.promised_for",
                told,
            )
            self._queue.execute("UPDATE heard SET cursor = ?", (page["after"],))
        return not told

    def _look_for_orders(self, problem: dict[str, Any]) -> None:
        """Which of the till's orders did the service forget? Only then it goes on, from where it is told to."""
        facts = problem["errors"][0]["facts"]
        print(f"The service was restored from a backup: {problem['detail']}", flush=True)
        held = self._queue.execute("SELECT * FROM sales WHERE order_id IS NOT NULL ORDER BY rowid").fetchall()
        for sale in held:
            status, _ = self._service.ask("GET", f"/v1/orders/{sale['order_id']}")
            if status == 404:  # noqa: PLR2004
                self._back_into_the_queue(sale)
        self._queue.execute("UPDATE heard SET cursor = ?", (facts.get("go_on") or facts["last"],))

    def _back_into_the_queue(self, sale: sqlite3.Row) -> None:
        """It is placed with its key of before: however often this is done, there is one order."""
        said = f"order {sale['number']} is gone since the service was restored"
        with self._queue:
            self._queue.execute("BEGIN IMMEDIATE")
            self._queue.execute("DELETE FROM basket WHERE sale = ?", (sale["sale"],))
            self._queue.execute(
                "UPDATE sales SET state = ?, order_id = NULL, number = NULL, promised_for = NULL, slip = NULL,"
                " tries = 0, not_before = 0, said = ? WHERE sale = ?",
                (WAITING, said, sale["sale"]),
            )
        print(f"{sale['sale']}: {said}: it is placed again, and the customer gets a new slip", flush=True)


def main() -> int:
    """Hear, bring on what has to be placed again, and hear once more."""
    words = argparse.ArgumentParser(prog="demo/till_feed.py", description="A till that follows its orders.")
    words.add_argument("queue", type=Path)
    words.add_argument("--for", dest="seconds", type=float, default=0.0, help="how long to try again")
    asked = words.parse_args()
    service = known_service()
    with closing(Till(asked.queue, service)) as till, closing(Follower(asked.queue, service)) as follower:
        try:
            follower.hear()
            till.send(asked.seconds)
            follower.hear()
        except LineDown as down:
            print(f"nothing is heard: {down}", file=sys.stderr)
            return 1
        for sale in till.sales():
            print(f"{sale['sale']}: order {sale['number'] or '-'}, {follower.state_of(sale['sale']) or sale['state']}")
        return 0 if all(sale["state"] in (PRINTED, REFUSED) for sale in till.sales()) else 1


if __name__ == "__main__":
    sys.exit(main())
