"""A day in an invented menswear shop, over HTTP: every request and answer can be read, and every step is checked.

Started by `demo/run`; alone: `python3 demo/day.py [--full]` against a demo that is running.
"""

# ruff: noqa: INP001, T201  a script of the demo, and printing is its purpose

from __future__ import annotations

import os
import sys
from datetime import date
from pathlib import Path

from asking import Counter, Wrong
from book_at_the_counter import (
    a_party,
    a_price_with_its_reason,
    bought_elsewhere,
    the_book_is_closed,
    what_waits_and_what_is_lost,
)
from book_of_a_day import (
    a_query_answered,
    a_redo,
    a_second_fitting,
    a_suit_all_the_way,
    open_the_workroom,
    trousers_before_the_jacket,
    what_is_found_inside,
)
from fitting_room import (
    a_plain_man,
    a_slip_of_the_unit,
    a_web_customer,
    an_evening_suit,
    at_the_mirror,
    at_the_mirror_too_small,
    at_the_tape,
    open_the_shop,
)
from second_looks import left_to_the_fitter, looked_at_again, no_size_serves
from web_shop import the_shops_page
from workroom import (
    a_till_without_a_line,
    at_the_till,
    bad_orders,
    the_customers_slip,
    the_order,
    the_orders,
    the_ticket,
    through_the_workroom,
    too_soon,
    who_may,
)


def the_day(counter: Counter) -> None:
    """From opening to closing."""
    open_the_shop(counter)
    open_the_workroom(counter)
    a_plain_man(counter)
    a_web_customer(counter)
    the_shops_page(counter)
    a_slip_of_the_unit(counter)
    taken = at_the_tape(counter)
    check = at_the_mirror(counter, taken)
    at_the_mirror_too_small(counter)
    left_to_the_fitter(counter)
    looked_at_again(counter)
    no_size_serves(counter)
    an_evening_suit(counter, taken)
    placed = the_order(counter, check)
    too_soon(counter, date.fromisoformat(taken["taken_on"]))
    bad_orders(counter)
    at_the_till(counter, placed.document)
    a_till_without_a_line(counter)
    the_ticket(counter, placed.document)
    through_the_workroom(counter, placed)
    the_orders(counter)
    the_customers_slip(counter, placed.document)
    who_may(counter)
    the_book(counter)


def the_book(counter: Counter) -> None:
    """Twelve orders of the workroom, each from marking to collection."""
    a_suit_all_the_way(counter)
    a_query_answered(counter)
    a_second_fitting(counter)
    a_redo(counter)
    trousers_before_the_jacket(counter)
    what_is_found_inside(counter)
    a_price_with_its_reason(counter)
    bought_elsewhere(counter)
    a_party(counter)
    what_waits_and_what_is_lost(counter)
    the_book_is_closed(counter, 12)


def known() -> dict[str, str]:
    """Where the shop is and its keys: from the environment, or from the file that demo/run wrote."""
    names = ("BASE_URL", "OWNER_KEY", "STAFF_KEY", "TILL_KEY", "WEB_KEY", "PAGE_URL", "PAGE_KEY")
    file = Path(__file__).parent / ".shop" / "keys.env"
    lines = file.read_text("utf-8").splitlines() if file.exists() else []
    found = dict(line.split("=", 1) for line in lines if "=" in line)
    found |= {name: os.environ[name] for name in names if name in os.environ}
    missing = [name for name in names if name not in found]
    if missing:
        sys.exit(f"demo/day.py: {', '.join(missing)} not known; start the shop first: ./demo/run")
    return found


def main() -> int:
    """Live through the day; 0 if every step gave what it should."""
    found = known()
    keys = {who: found[f"{who.upper()}_KEY"] for who in ("owner", "staff", "till", "web", "page")}
    counter = Counter(found["BASE_URL"], keys, page_url=found["PAGE_URL"], full="--full" in sys.argv[1:])
    try:
        the_day(counter)
    except Wrong as wrong:
        sys.stdout.flush()
        print(f"\ndemo/day.py: this step did not give what it should.\n{wrong}", file=sys.stderr)
        return 1
    print(f"\n\nThe day is done: {counter.checked} checks, all as they should be.")
    return 0


if __name__ == "__main__":
    sys.exit(main())
