"""What a visitor asked to be kept: the fitter goes on from it, by a short code, and after some days it is gone."""

from __future__ import annotations

from base64 import b32encode
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from typing import Any

from service.storage.people import kept_advice
from service.tailoring.refusals import Refusal
from service.use_cases.advice.advice_ids import GOOD_FOR, read_advice_id
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.people.own_men import population_asked

# Of base 32 (RFC 4648), which has no digit that is taken for a letter: 40 bits. Two of a shop are hardly ever alike.
CODE_LENGTH = 8
_TRIES = 5


@dataclass(frozen=True, slots=True)
class KeptAdvice:
    """What was kept under a code: the question as it was asked, and the advice id of what was taken."""

    code: str
    kept_until: datetime
    asked: dict[str, Any]
    advice_id: str


def keep_advice(context: ServiceContext, caller: Caller, asked: dict[str, Any], advice_id: str) -> KeptAdvice:
    """Keep what a visitor said, with the version of the shop's own men by which it was answered, where it says one.

    Raises Refusal as `read_advice_id`, or `population_version_unknown`.
    """
    now = context.now()
    read_advice_id(caller.shop, advice_id, now, ("advice_id",))
    until = now + GOOD_FOR
    with context.database.writing() as tx:
        try:
            population_asked(tx, caller, asked.get("population_version"))
        except Refusal as refusal:
            raise refusal.within("asked") from None
        for _ in range(_TRIES):
            code = b32encode(sha256(context.new_token().encode()).digest()).decode()[:CODE_LENGTH]
            content = {"asked": asked, "advice_id": advice_id}
            if kept_advice.add_kept_advice(tx, caller.shop.id, code, content, until):
                return KeptAdvice(code, until, asked, advice_id)
    raise Refusal("not_found")


def show_kept_advice(context: ServiceContext, caller: Caller, code: str) -> KeptAdvice:
    """What is kept under a code, however it was written. Raises Refusal `not_found`."""
    plain = code.upper().replace("-", "")
    with context.database.reading() as tx:
        found = kept_advice.find_kept_advice(tx, caller.shop.id, plain, context.now())
    if found is None:
        raise Refusal("not_found")
    content, until = found
    return KeptAdvice(plain, until, content["asked"], content["advice_id"])
