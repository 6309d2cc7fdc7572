"""The gate before every operation: who asks, from where, how often, and whether it is for him."""

from __future__ import annotations

from dataclasses import dataclass

from flask import request

from service.http.callers.cross_origin import check_page
from service.http.callers.languages import note_shop
from service.http.callers.rate_limits import STRANGER, count_address, count_caller
from service.tailoring.refusals import Refusal
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.shop.keys import identify


@dataclass(frozen=True, slots=True)
class Gate:
    """What an operation asks of its caller: one of its scopes (None: it is open), and whether pages may ask it."""

    scope: str | tuple[str, ...] | None
    for_pages: bool
    counted: bool

    def passed(self, means: ServiceContext) -> Caller | None:
        """Who asks, or None where the operation is open.

        Raises Refusal `key_missing`, `key_unknown`, `key_expired`, `origin_not_allowed`, `page_may_not`, `too_often`
        or `scope_missing`.
        """
        if self.scope is None:
            if self.counted:
                count_address("open")
            return None
        try:
            caller = _caller_of_key(means)
            note_shop(caller)
            check_page(caller, asked_by_pages=self.for_pages)
        except Refusal:
            # Whoever tries keys is counted by his address, and soon hears nothing of keys any more.
            count_address(STRANGER)
            raise
        count_caller(caller)
        enough = (self.scope,) if isinstance(self.scope, str) else self.scope
        if not caller.scopes & set(enough):
            raise Refusal("scope_missing", scope=" or ".join(enough))
        return caller


def _caller_of_key(means: ServiceContext) -> Caller:
    authorization = request.authorization
    if authorization is None or authorization.type != "bearer" or not authorization.token:
        raise Refusal("key_missing")
    return identify(means, authorization.token)
