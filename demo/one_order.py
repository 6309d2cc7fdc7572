"""One order of the book of a day, from the counter to the bench and back: who does what, a line each."""

# ruff: noqa: INP001, T201  a script of the demo, and printing is its purpose

from __future__ import annotations

import json
import re
import textwrap
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from asking import FITTER, INDENT, WIDE, Answer, Counter, heading, money, new_key, plain, refusal

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

TROUSERS_HAND, JACKETS_HAND, CHECKER, PRESSER = "tailor-1", "tailor-2", "tailor-3", "presser-1"
HANDS = {"trousers": TROUSERS_HAND, "jacket": JACKETS_HAND, "waistcoat": JACKETS_HAND}


# An id in a path says nothing to a reader.
_IDS = re.compile(r"[0-9a-f]{8}-[0-9a-f-]{27}")


def brief(
    counter: Counter,
    request: str,
    body: dict[str, Any] | None = None,
    *,
    who: str = "staff",
    gives: int = 200,
    say: Callable[[Any], str] | None = None,
    headers: Mapping[str, str] | None = None,
    told: str | None = None,
) -> Answer:
    """As `Counter.ask`, in a line of what was asked and one of what came; raises Wrong unless the status is `gives`."""
    method, path = request.split()
    answer = counter.send(method, path, body, {**(headers or {}), **counter.key_of(who)})
    asked = f"{method} {_IDS.sub('…', path)} {told or (json.dumps(body, ensure_ascii=False) if body else '')}"
    print(textwrap.fill(asked, WIDE, initial_indent="  ", subsequent_indent=INDENT))
    is_problem = answer.document is not None and "errors" in answer.document and "title" in answer.document
    words = " ".join(refusal(answer.document)) if is_problem else say(answer.document) if say else ""
    line = f"{answer.status}  {words}".rstrip()
    print(textwrap.fill(line, WIDE, initial_indent=INDENT, subsequent_indent=INDENT + "     "))
    counter.check(answer.status == gives, f"{request} gives {gives}", f"{answer.status}: {answer.text[:2000]}")
    return answer


@dataclass
class OneOrder:
    """An order as it was last answered, and its version."""

    counter: Counter
    document: dict[str, Any]
    etag: str

    @classmethod
    def placed(cls, counter: Counter, title: str, words: str, sheet: dict[str, Any]) -> OneOrder:
        """A new chapter of the book: the order at the counter."""
        heading(title, words)
        answer = brief(
            counter, "POST /v1/orders", {**sheet, "by": FITTER}, gives=201, headers=new_key(), say=_standing_with_day
        )
        return cls(counter, answer.document, answer.etag)

    @property
    def path(self) -> str:
        """Where it is."""
        return f"/v1/orders/{self.document['id']}"

    @property
    def state(self) -> str:
        """Where it stands."""
        return str(self.document["state"])

    def line(self, alteration: str, side: str | None = None) -> dict[str, Any]:
        """One of its lines."""
        found: dict[str, Any] = next(
            each for each in self.document["lines"] if each["alteration"] == alteration and side in (None, each["side"])
        )
        return found

    def say(self, what: str, body: dict[str, Any], *, gives: int = 200, method: str = "POST") -> Answer:
        """Change it by the version that was read last; a refusal leaves it as it is."""
        before = self.etag
        answer = brief(
            self.counter,
            f"{method} {self.path}{what}",
            body,
            gives=gives,
            say=standing,
            headers={"If-Match": before, **new_key()},
        )
        if gives == 200:  # noqa: PLR2004
            self.document, self.etag = answer.document, answer.etag
        return answer

    def move(self, to: str, by: str, *, gives: int = 200, **facts: Any) -> Answer:  # noqa: ANN401  JSON
        """Move it, or some of its pieces, along."""
        return self.say("/moves", {"to": to, "by": by, **facts}, gives=gives)

    def begun(self) -> None:
        """The customer has agreed, and it lies on the bench."""
        self.move("accepted", FITTER)
        self.move("in_workroom", JACKETS_HAND)

    def read(self) -> None:
        """Read it again, after others have changed it."""
        answer = brief(self.counter, f"GET {self.path}", say=standing)
        self.document, self.etag = answer.document, answer.etag

    def sewn(self, pieces: list[int] | None = None) -> None:
        """Whoever works on its garments sews the lines, another measures them."""
        wanted = {each["piece"] for each in self.document["garments"]} if pieces is None else set(pieces)
        for piece in sorted(wanted):
            garment = next(each["garment"] for each in self.document["garments"] if each["piece"] == piece)
            lines = [each["number"] for each in self.document["lines"] if each["piece"] == piece]
            if lines:
                notes = [{"number": number, "is_sewn": True} for number in sorted(lines)]
                self.say("/bench-notes", {"by": HANDS[garment], "lines": notes})
        self.move("sewn", JACKETS_HAND, **({} if pieces is None else {"pieces": pieces}))
        self.checked(wanted)

    def checked(self, pieces: set[int]) -> None:
        """A second person tapes every line, and finds it right."""
        lines = sorted(
            (each for each in self.document["lines"] if each["piece"] in pieces), key=lambda each: each["number"]
        )
        found = [
            {"number": each["number"], "measured": _sent(each["target"])}
            if each["target"]
            else {"number": each["number"], "is_right": True}
            for each in lines
        ]
        if found:
            self.say("/checks", {"by": CHECKER, "lines": found})

    def finished(self, pieces: list[int] | None = None) -> None:
        """Pressed and hung, the pins counted twice."""
        named = {} if pieces is None else {"pieces": pieces}
        here = [each for each in self.document["garments"] if pieces is None or each["piece"] in pieces]
        pins = sum(each["pins_to_count"] for each in here)
        self.move("pressed", PRESSER, pins_out=pins, **named)
        self.move("ready", PRESSER, pins_out=pins, **named)

    def collected(self, **more: Any) -> None:  # noqa: ANN401  JSON
        """Tried on and taken away."""
        self.move("collected", FITTER, tried_on=True, **more)

    def ticket(self, *words: str) -> str:
        """The paper as it is now; raises Wrong unless it says the words."""
        text = brief(self.counter, f"GET {self.path}/ticket", headers={"Accept": "text/plain"}).text
        said = " ".join(text.split())
        for each in words:
            self.counter.check(each in said, f"{each!r} on the ticket", text, f"the ticket says: {each}")
        return text

    def charged(self) -> dict[str, Any]:
        """What the till takes for it."""
        answer = brief(
            self.counter,
            f"GET {self.path}/charges",
            who="till",
            say=lambda it: f"to pay {money(it['to_pay'])}, deposit {money(it['deposit'])}",
        )
        document: dict[str, Any] = answer.document
        minor = sum(each["amount"]["minor"] for each in document["charges"])
        self.counter.check(minor == document["total"]["minor"], "charges that add up", document)
        return document


def standing(document: dict[str, Any]) -> str:
    """Where an order is, and its pieces where they are not with it."""
    apart = [
        f"{each['garment']} {plain(each['state'])}"
        for each in document["garments"]
        if each["state"] != document["state"]
    ]
    where = f" ({', '.join(apart)})" if apart else ""
    return f"order {document['number']} is {plain(document['state'])}{where}, {money(document['total'])}"


def _standing_with_day(document: dict[str, Any]) -> str:
    looked = dict.fromkeys(f"Look: {each['text']}." for each in document["warnings"])
    return " ".join([f"{standing(document)}, promised for {document['promised_for']}.", *looked])


def _sent(length: dict[str, Any]) -> dict[str, Any]:
    return {"value": length["mm"], "unit": "mm"}


def refused(counter: Counter, answer: Answer, code: str, say: str) -> None:
    """A refusal for that reason and no other."""
    counter.check(answer.document["code"] == code, code, answer.document, say)
    print()
