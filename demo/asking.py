"""Asking the service and writing down what was said, so that a fitter can read it. Standard library only."""

# ruff: noqa: INP001, T201  a script of the demo, and printing is its purpose

from __future__ import annotations

import json
import sys
import textwrap
import urllib.error
import urllib.request
import uuid
from dataclasses import dataclass, field
from itertools import count
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

WIDE = 100
INDENT = "    "
MM_PER_EIGHTH = 25.4 / 8
CUSTOMER, SALE, FITTER, TAILOR = "customer-1042", "sale-7731", "fitter-2", "tailor-1"
SHOWN_HEADERS = ("ETag", "Link", "Answer-Repeated", "Access-Control-Allow-Origin")
_parts = count(1)
# No proxy stands between a demo and its own machine.
_OPENER = urllib.request.build_opener(urllib.request.ProxyHandler({}))


class Wrong(Exception):
    """The service did not do what the day needs: what was expected, and what came."""


@dataclass(frozen=True)
class Answer:
    """A status, headers and what was in the body."""

    status: int
    headers: Mapping[str, str]
    text: str
    document: Any

    @property
    def etag(self) -> str:
        """The version to send as If-Match."""
        return self.headers["ETag"]


@dataclass
class Counter:
    """Speaks to the service for staff, till and web shop, and prints both sides."""

    base_url: str
    keys: Mapping[str, str]
    page_url: str
    full: bool = False
    checked: int = field(default=0)

    def ask(
        self,
        who: str,
        request: str,
        body: dict[str, Any] | None = None,
        *,
        gives: int = 200,
        read: Callable[[Any], Iterable[str]] | None = None,
        headers: Mapping[str, str] | None = None,
        told: str | None = None,
    ) -> Answer:
        """Send `request` ("GET /v1/orders") with the key of `who`; raises Wrong unless the status is `gives`.

        `read` makes lines of the answer; `told` is printed for a body that was printed before.
        """
        sent = dict(headers or {})
        print(f"\n  {request}  ({who}'s key)" if who in self.keys else f"\n  {request}  ({who})")
        for name, value in sent.items():
            print(f"{INDENT}{name}: {value}")
        if body is not None:
            print(textwrap.indent(told or readable(body), INDENT))
        method, path = request.split()
        answer = self.send(method, path, body, {**sent, **self.key_of(who)})
        shown = "".join(f"  {name}: {answer.headers[name]}" for name in SHOWN_HEADERS if answer.headers.get(name))
        print(f"  {answer.status}{shown}")
        for line in self._condensed(answer, read):
            hanging = INDENT + " " * (len(line) - len(line.lstrip()) + 3)
            print(textwrap.fill(line, WIDE, initial_indent=INDENT, subsequent_indent=hanging))
        self.check(answer.status == gives, f"{request} gives {gives}", f"{answer.status}: {answer.text[:2000]}")
        return answer

    def check(self, holds: bool, expected: str, came: object = None, say: str | None = None) -> None:  # noqa: FBT001
        """Raise Wrong unless it holds; say what held where `say` is given."""
        if not holds:
            raise Wrong(f"expected: {expected}\ncame:     {came}")
        self.checked += 1
        if say:
            print(f"  ✓ {say}")

    def key_of(self, who: str) -> dict[str, str]:
        """The header that says who asks."""
        return {"Authorization": f"Bearer {self.keys[who]}"} if who in self.keys else {}

    def _condensed(self, answer: Answer, read: Callable[[Any], Iterable[str]] | None) -> Iterable[str]:
        if answer.document is None:
            print(textwrap.indent(answer.text.rstrip("\n"), INDENT))
            return ()
        if self.full:
            print(textwrap.indent(json.dumps(answer.document, indent=1, ensure_ascii=False), INDENT))
            return ()
        if "errors" in answer.document and "title" in answer.document:
            return refusal(answer.document)
        return read(answer.document) if read else ()

    def send(self, method: str, path: str, body: dict[str, Any] | None, headers: dict[str, str]) -> Answer:
        """Send it, and print nothing."""
        data = None if body is None else json.dumps(body).encode()
        if data is not None:
            headers["Content-Type"] = "application/json"
        request = urllib.request.Request(self.base_url + path, data, headers, method=method)  # noqa: S310  our own
        try:
            with _OPENER.open(request, timeout=30) as response:
                status, got, text = response.status, response.headers, response.read().decode()
        except urllib.error.HTTPError as refused:
            status, got, text = refused.code, refused.headers, refused.read().decode()
        except OSError as away:
            raise Wrong(f"expected: an answer to {method} {path}\ncame:     {away}") from away
        return Answer(status, got, text, json.loads(text) if "json" in got.get("Content-Type", "") else None)


def heading(title: str, *words: str) -> None:
    """Begin a part of the day."""
    number = next(_parts)
    print(f"\n\n── {number}. {title} {'─' * max(2, WIDE - len(title) - len(str(number)) - 6)}")
    for paragraph in words:
        print(textwrap.fill(paragraph, WIDE))
    sys.stdout.flush()


def inches(value: str) -> dict[str, str]:
    """A length as a tailor writes it."""
    return {"value": value, "unit": "in"}


def new_key() -> dict[str, str]:
    """A header for one thing to be created."""
    return {"Idempotency-Key": str(uuid.uuid4())}


def readable(value: Any, room: int = WIDE - len(INDENT)) -> str:  # noqa: ANN401  any JSON
    """JSON with as much on a line as fits."""
    flat = json.dumps(value, ensure_ascii=False)
    if len(flat) <= room or not isinstance(value, dict | list) or not value:
        return flat
    if isinstance(value, list):
        return f"[{_packed([readable(each, room - 2) for each in value], room)}]"
    named = []
    for name, each in value.items():
        within = json.dumps(name, ensure_ascii=False) + ": "
        named.append(within + readable(each, room - 2 - len(within)))
    return f"{{{_packed(named, room)}}}"


def _packed(parts: list[str], room: int) -> str:
    """Parts after one another, a new line where the next does not fit or has lines of its own."""
    lines = [parts[0]]
    for part in parts[1:]:
        joined = f"{lines[-1]}, {part}"
        if "\n" in joined or len(joined) > room - 2:
            lines[-1] += ","
            lines.append(part)
        else:
            lines[-1] = joined
    return textwrap.indent("\n".join(lines), " ")[1:]


# ---------------------------------------------------------------- what a fitter reads


def money(amount: dict[str, Any]) -> str:
    """Minor units as people write them."""
    return f"{amount['minor'] / 100:.2f} {amount['currency']}"


def eighths(mm: float) -> str:
    """A spread in inches, to the nearest eighth."""
    whole, part = divmod(max(1, round(mm / MM_PER_EIGHTH)), 8)
    fraction = {0: "", 1: "1/8", 2: "1/4", 3: "3/8", 4: "1/2", 5: "5/8", 6: "3/4", 7: "7/8"}[part]
    return " ".join(filter(None, (str(whole) if whole else "", fraction, "in")))


TRADE_WORDS = {
    "stature": "height",
    "body_mass": "weight",
    "chest_girth": "chest",
    "trouser_waist_girth": "trouser waist",
    "waist_girth": "waist at the navel",
    "natural_waist_girth": "waist at its narrowest",
    "hip_girth": "seat",
    "thigh_girth": "thigh",
    "arm_length": "arm",
    "inside_leg_length": "inside leg",
    "cervical_height": "nape to floor",
}


def plain(code: str) -> str:
    """A code as a fitter says it."""
    return TRADE_WORDS.get(code, code.replace("_", " "))


def body_lines(document: dict[str, Any], *dimensions: str) -> Iterable[str]:
    """Some of what is known of the man, read or estimated."""
    for each in document["body"]:
        if each["dimension"] in dimensions:
            how = "as read" if each["read"] else "estimated"
            spread = f"{each['sd_kg']:.1f} kg" if "sd_kg" in each else eighths(each["sd_mm"])
            yield f"{plain(each['dimension'])}: {each['text']}, {how}, give or take {spread}"


def work(each: dict[str, Any]) -> str:
    """One alteration with its amount."""
    code = plain(each["alteration"])
    if each["amount"] is None:
        return code
    where = {"left": ", left", "right": ", right", "both": ", both sides alike"}.get(each["side"] or "", "")
    counted = {"girth": " of girth", "per_side": " a side", "per_leg": " a leg"}.get(each["basis"], "")
    return f"{code} {each['amount']['text']}{counted}{where}"


def sizes(plan: dict[str, Any]) -> str:
    """The garments of a plan."""
    found = [f"{plan[garment]['label']} {garment}" for garment in ("jacket", "trousers") if plan[garment]]
    return " with ".join(found)


def price(plan: dict[str, Any]) -> dict[str, Any]:
    """What a plan's alterations cost the customer."""
    charged: dict[str, Any] = plan["price"]
    return charged


def plan_lines(plans: Iterable[dict[str, Any]]) -> Iterable[str]:
    """Plans, the best first."""
    for place, plan in enumerate(plans, start=1):
        sure = plan["confidence"]["together"]
        yield f"{place}. {sizes(plan)}: " + ("; ".join(map(work, plan["alterations"])) or "nothing to alter")
        yield (
            f"   work {money(price(plan))}, {plan['minutes']} min; with the risk of a misfit it weighs "
            f"{money(plan['ranking']['expected_cost'])}. Of 100 such men it is best for {sure['best'] * 100:.0f}, "
            f"within one size of the best for {sure['within_one_size'] * 100:.0f}, "
            f"needs no work{' but a hem' if plan['trousers'] else ''} for {sure['no_alteration'] * 100:.0f}, "
            f"is right everywhere once altered for {sure['fits_altered'] * 100:.0f}"
        )


def judged(document: dict[str, Any]) -> Iterable[str]:
    """Plans, what to measure next, what to look at."""
    yield from plan_lines(document["plans"])
    if document["next_measures"]:
        best = document["next_measures"][:3]
        yield "measure next: " + ", ".join(
            f"{plain(m['dimension'])} (worth {money(m['ranking']['gain'])})" for m in best
        )
    yield from (f"look again: {each['text']}" for each in document["warnings"])


def verdicts(document: dict[str, Any]) -> Iterable[str]:
    """What was seen, point by point, then the decision and its plans."""
    for each in document["verdicts"]:
        if each["verdict"] != "not_judged":
            side = f", {each['side']}" if each["side"] else ""
            causes = f" – {', or '.join(each['causes'])}" if each["causes"] else ""
            yield f"{each['words']}{side}: {plain(each['verdict'])}{causes}"
    for each in document["causes"][:2]:
        side = f", {each['side']}" if each["side"] else ""
        cure = each["remedies"][0]["text"] if each["remedies"] else "nothing"
        yield f"behind it, {each['probability']:.0%}: {each['words']}{side}; first try {plain(cure)}"
    if document["look_next"]:
        yield f"look next at: {', '.join(each['words'] for each in document['look_next'])}"
    yield f"decision: {document['decision'].upper()}"
    yield from judged(document)
    if document["decision"] == "swap":
        yield f"what they have on is the {sizes(document['keeping'])}: weighed beside the others"


def order_lines(document: dict[str, Any]) -> Iterable[str]:
    """An order as it stands."""
    yield f"order {document['number']}, {plain(document['state'])}, promised for {document['promised_for']}"
    for each in document["garments"]:
        yield f"piece {each['piece']}: {each['label']} {each['garment']}, {each['pins_left_in']} pins left in"
    for each in sorted(document["lines"], key=lambda line: line["number"]):
        target = f", to {each['target']['text']}" if each["target"] else ""
        yield f"{each['number']}. piece {each['piece']}, {work(each)}{target} – {money(each['price'])}"
    yield f"{money(document['total'])}, {document['minutes']} min at the benches"
    yield from (f"look again: {each['text']}" for each in document.get("warnings", ()))


def state_line(document: dict[str, Any]) -> Iterable[str]:
    """Where an order stands after a move."""
    onward = ", ".join(map(plain, document["may_move_to"])) or "nowhere"
    yield f"order {document['number']} is {plain(document['state'])}; from here to {onward}"


def refusal(problem: dict[str, Any]) -> Iterable[str]:
    """A problem document: what is wrong, where, and what would be right."""
    yield f"{problem['title']}. {problem['detail']}"
    yield from (f"at {each['pointer']}" for each in problem["errors"] if each["pointer"])
