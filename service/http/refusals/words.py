"""Every refusal's status, title and sentence. A code that is not here cannot be refused with (a test shows it).

A title says what is wrong, a sentence what would be right.

Statuses: 422 what was asked is wrong by a rule of the trade or shop; 409 it is right, but the state of the order or of
the calendar forbids it; 404 there is no such thing for this caller; 412 it has changed since; 401 and 403 who asks.
"""

from __future__ import annotations

from collections.abc import Mapping

from service.http.refusals.form import Words
from service.http.refusals.of_advice import OF_ADVICE
from service.http.refusals.of_fitting import OF_FITTING
from service.http.refusals.of_orders import OF_ORDERS
from service.http.refusals.of_requests import OF_REQUESTS
from service.tailoring.refusals import Fact, Refusal

WORDS: dict[str, Words] = {**OF_REQUESTS, **OF_ADVICE, **OF_FITTING, **OF_ORDERS}


def said(refusal: Refusal) -> str:
    """A refusal's sentence, with its facts."""
    return sentence(refusal.code, refusal.facts)


def sentence(code: str, facts: Mapping[str, Fact]) -> str:
    """The sentence of a code, filled with facts; one that was not said leaves a dash."""
    told = {
        name: ", ".join(map(str, value)) if isinstance(value, list | tuple) else str(value)
        for name, value in facts.items()
    }
    return WORDS[code].detail.format_map(_Told(told))


class _Told(dict[str, str]):
    def __missing__(self, key: str) -> str:
        return "-"
