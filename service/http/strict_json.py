"""Strict JSON: UTF-8, every field once, no numbers or texts that could not be written again.

What is refused here is refused of any document, whoever asked for it; what a field may hold is `document_bounds`'.
"""

from __future__ import annotations

import json
from collections import Counter
from typing import Any, NoReturn

from service.tailoring.refusals import Refusal

DEPTH_MOST = 20
TOO_DEEP = f"it is nested too deeply, {DEPTH_MOST} levels are the most"
# Beyond any body but a batch's: its largest documents have half of it. An empty object takes 72 bytes, a field 130.
VALUES_MOST = 500_000
# Whole numbers beyond it are no quantity, no money and no cursor; as a double they say how large they are.
_DIGITS_MOST = 18
# How much of a name is repeated to whoever sent it.
_NAME_SHOWN = 80


def read_json(body: bytes) -> Any:  # noqa: ANN401  whatever the body says
    """The document of a body. Raises Refusal `json_unreadable`, or `too_many_values` before any of it is made."""
    check_values(body)
    try:
        return json.loads(
            body.decode(), object_pairs_hook=_of_one_name_each, parse_int=_number, parse_constant=_no_number
        )
    except UnicodeDecodeError as error:
        raise Refusal("json_unreadable", words=f"it is not UTF-8 at byte {error.start}") from None
    except RecursionError:
        raise Refusal("json_unreadable", words=TOO_DEEP) from None
    except ValueError as error:
        raise Refusal("json_unreadable", words=str(error) if body.strip() else "it is empty") from None


def check_values(body: bytes) -> None:
    """Refuse a body that may hold too many values. Raises Refusal `too_many_values`.

    Each value but the first follows a comma or what opens a list or an object. Those inside of texts are counted too:
    no text of ours has room for so many.
    """
    if sum(body.count(mark) for mark in (b",", b"[", b"{")) > VALUES_MOST:
        raise Refusal("too_many_values", most=VALUES_MOST)


def check_text(text: str) -> None:
    """Half of a surrogate pair can be escaped in JSON, but never written. Raises Refusal `json_unreadable`."""
    if not text.isascii():
        try:
            text.encode()
        except UnicodeEncodeError:
            raise Refusal("json_unreadable", words="a text has half of a surrogate pair") from None


def _number(text: str) -> int | float:
    return int(text) if len(text) <= _DIGITS_MOST else float(text)


def _no_number(text: str) -> NoReturn:
    raise ValueError(f"{text} is no number")


def _of_one_name_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Which of two readings was meant, nobody can tell."""
    made = dict(pairs)
    if len(made) != len(pairs):
        twice = next(name for name, times in Counter(name for name, _ in pairs).items() if times > 1)
        shown = twice[:_NAME_SHOWN].encode(errors="backslashreplace").decode()
        raise ValueError(f"the field '{shown}' is there twice")
    return made
