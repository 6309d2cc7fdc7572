"""What no figure of the shop decides: a customer whom no size serves."""

# ruff: noqa: INP001  a script of the demo, and printing is its purpose

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from asking import Counter, heading, judged
from fitting_room import taped

if TYPE_CHECKING:
    from collections.abc import Iterable


def no_size_serves(counter: Counter) -> None:
    """A corpulent figure: the answer is no, and what would serve."""
    heading(
        "A customer whom no size here serves",
        "Chest 48, and the trousers' waist 50. A coat of this drop does not close over it, whatever is let out.",
    )
    body = {
        "readings": [
            taped("chest_girth", "48", twice=True),
            taped("trouser_waist_girth", "50", twice=True),
            taped("hip_girth", "48"),
            taped("stature", "175", "cm"),
        ],
        "age_years": 62,
        "charts": ["everyday"],
        "limit": 1,
    }

    def read(answer: dict[str, Any]) -> Iterable[str]:
        yield from judged(answer)
        yield f"does a size here serve? {answer['serves']['serves'].upper()}"
        for each in answer["serves"]["instead"]:
            yield f"{each['garment']}: {each['words']}"

    found = counter.ask("staff", "POST /v1/size-advice", body, read=read).document["serves"]
    counter.check(found["serves"] == "no", "no", found["serves"])
    counter.check(
        bool(found["instead"]), "what would serve", found, "no size here serves, and the answer says what would"
    )
