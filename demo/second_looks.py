"""What no figure decides: a fault that is the fitter's, a customer whom no size serves, an amount to look at again."""

# ruff: noqa: INP001  a script of the demo, and printing is its purpose

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from asking import FITTER, Counter, heading, inches, judged, new_key, order_lines, verdicts
from fitting_room import taped

if TYPE_CHECKING:
    from collections.abc import Iterable

JACKET = {"chart": "everyday", "label": "40R"}


def left_to_the_fitter(counter: Counter) -> None:
    """A collar that stands off: no needle and no size of the shop cures it, so nothing is pretended."""
    heading(
        "At the mirror: the collar stands off the neck",
        "40R hangs well in front, but behind there are 3/4 in of daylight between the two collars. Keep it? Alter it?",
    )
    body = {
        "worn": {"jacket": JACKET},
        "observations": [
            {"point": "front_closure", "seen": "right"},
            {"point": "collar_gap", "spare": inches("3/4")},
        ],
        "readings": [taped("chest_girth", "40", twice=True), taped("stature", "178", "cm")],
        "charts": ["everyday"],
        "limit": 1,
    }

    def read(answer: dict[str, Any]) -> Iterable[str]:
        yield from verdicts(answer)
        for each in answer["left_to_fitter"]:
            yield f"left to the fitter: {each['seen']}. {each['why']}"

    check = counter.ask("staff", "POST /v1/fit-checks", body, gives=201, read=read).document
    counter.check(check["decision"] == "undecided", "undecided", check["decision"])
    points = [each["point"] for each in check["left_to_fitter"]]
    counter.check("collar_gap" in points, "collar_gap", points, "undecided: the fitter decides, or the coat maker")


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


def looked_at_again(counter: Counter) -> None:
    """The pinch stands, the tape disagrees: both are on the paper."""
    heading(
        "The pinch and the tape disagree",
        "An inch of cloth is held away at the button, yet the tape says that the waist is right. The pinch on the worn "
        "coat decides: 1 in of girth is taken in. The bench reads that somebody should look again.",
    )
    body = {
        "worn": {"jacket": JACKET},
        "observations": [{"point": "front_closure", "spare": inches("1")}],
        "readings": [
            taped("chest_girth", "40", twice=True),
            taped("natural_waist_girth", "34", twice=True),
            taped("stature", "178", "cm"),
        ],
        "charts": ["everyday"],
        "limit": 1,
    }

    def read(answer: dict[str, Any]) -> Iterable[str]:
        yield from verdicts(answer)
        for each in answer["look_again"]:
            yield f"look again: {each['words']}"

    check = counter.ask("staff", "POST /v1/fit-checks", body, gives=201, read=read).document
    done = {each["alteration"]: each["amount"]["text"] for each in check["plans"][0]["alterations"]}
    counter.check(done == {"jacket_waist_in": "1 in"}, "the waist taken in by 1 in", done)
    order = counter.ask(
        "staff",
        "POST /v1/orders",
        {"from_fit_check": check["id"], "by": FITTER},
        gives=201,
        read=order_lines,
        headers=new_key(),
    ).document
    ticket = counter.ask("staff", f"GET /v1/orders/{order['id']}/ticket", headers={"Accept": "text/plain"}).text
    said = " ".join(ticket.split())
    counter.check("look again" in said.lower(), "look again", said, "both are on the paper")
