"""Hard alterations: which they are, and when one garment has too many of them.

One rule for fit checks, quotes and orders.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from service.tailoring import tables
from service.tailoring.garments.alterations import alteration
from service.tailoring.notices import Notice
from service.tailoring.refusals import Where


def is_hard(code: str) -> bool:
    """Whether an alteration is for skilled minutes. Raises Refusal `alteration_unknown`."""
    return alteration(code).difficulty >= _figure("hard_from_difficulty")


def hard_among(codes: Iterable[str]) -> tuple[str, ...]:
    """The hard ones, each once: left and right are one alteration."""
    return tuple(sorted({code for code in codes if is_hard(code)}))


def too_many_hard(garment: str, codes: Iterable[str], at: Where = ()) -> Notice | None:
    """That one garment is to have so many hard alterations that another size is offered first; None: it has not."""
    hard = hard_among(codes)
    if len(hard) < _figure("too_many_from"):
        return None
    words = ", ".join(alteration(code).words for code in hard)
    text = f"{len(hard)} hard alterations on one {garment} ({words}): offer another size or length class first."
    return Notice("many_hard_alterations", at, text, (("alterations", hard),))


@cache
def _figure(name: str) -> int:
    return int(tables.document("work/hard_alterations")[name])
