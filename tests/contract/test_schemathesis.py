"""Thousands of requests made up from the contract, right ones and wrong ones, each answer held to it."""

from collections import Counter

import pytest
import schemathesis
from schemathesis.config import SchemathesisConfig
from schemathesis.engine import Status, events, from_schema

from service.use_cases.shop.keys import SCOPES, give_key
from tests.faults.under_gunicorn import served
from tests.shops import UNHURRIED_SETTINGS

PHASES = ("EXAMPLES", "COVERAGE", "FUZZING", "STATEFUL_TESTING")

# What names something that only the made-up day has; `test_examples` plays that day, in which each was answered well.
OF_THE_DAY = [
    "/v1/charts/{chart}",
    "/v1/customers/{customer_ref}/measurement-sets",
    "/v1/kept-advice",
    "/v1/order-groups/{group_id}/members/{order_id}",
    "/v1/tailors/{tailor}",
    "/v1/workroom/worklist",
]
TAKEN, NOT_LOOKED_AT = ({"checks": {"positive_data_acceptance": {"enabled": taken}}} for taken in (True, False))

CONFIG = {
    "seed": 1,
    # How long an answer takes is no matter of the contract; a batch of its longest takes seconds on a busy machine.
    "request-timeout": 60,
    "generation": {"max-examples": 40, "deterministic": True, "no-shrink": True},
    "checks": {
        # A body of the right shape may break a rule of the trade (an inside leg of a metre and a half, a side where
        # none is taken), which is 422 and no fault of the contract.
        "positive_data_acceptance": {"enabled": False},
        # RFC 6585, section 3: what must say which version it changes, and does not, is 428.
        "missing_required_header": {"expected-statuses": [400, 401, 403, 415, 422, 428]},
    },
    "operations": [
        # A till's references hold a slash ("2026/00123"), so what stands below one is the address of another, too:
        # DELETE there is of the customer, or PUT of the tailor, whose reference ends so.
        {
            "include-path-regex": "^/v1/(customers|tailors)/.*/",
            "checks": {name: {"enabled": False} for name in ("allow_header_conformance", "unsupported_method")},
        },
        # What only asks has no rule of the trade.
        {"include-path": OF_THE_DAY, **NOT_LOOKED_AT, "phases": {"examples": NOT_LOOKED_AT}},
        {"include-method": "GET", **TAKEN},
    ],
    # The contract's own examples are right by every rule.
    "phases": {"examples": TAKEN, "stateful": {"max-steps": 8}},
}


@pytest.fixture
def address(house, tmp_path):
    """The service as it is served, in a process of its own."""
    with served(tmp_path, house.url, **UNHURRIED_SETTINGS) as server:
        yield f"http://127.0.0.1:{server.port}"


@pytest.mark.lengthy
def test_every_made_up_request_is_answered_as_the_contract_says(house, shop, address):
    key = give_key(house.context, shop.id, "made up", frozenset(SCOPES))
    config = SchemathesisConfig.from_dict({**CONFIG, "auth": {"openapi": {"key": {"bearer": key}}}})
    schema = schemathesis.openapi.from_url(f"{address}/openapi.json", config=config)
    faults, answers = [], Counter()
    for event in from_schema(schema).execute():
        if isinstance(event, events.NonFatalError | events.FatalError):
            faults.append(repr(event))
        elif isinstance(event, events.ScenarioFinished):
            faults += _faults(event.recorder)
            answers.update((event.phase.name, each.response.status_code) for each in _answered(event.recorder))
    assert [] == faults
    # It would prove nothing if one phase made nothing, or if nothing that was made up were right.
    assert set(PHASES) == {phase for phase, _ in answers}
    assert {"EXAMPLES", "COVERAGE", "FUZZING", "STATEFUL_TESTING"} == {phase for phase, code in answers if code == 201}
    assert sum(answers.values()) > 2000


def _answered(recorder):
    return [each for each in recorder.interactions.values() if each.response is not None]


def _faults(recorder):
    return [
        f"{recorder.label}: {check.name}: {check.failure_info.failure.message} {check.failure_info.code_sample}"
        for checks in recorder.checks.values()
        for check in checks
        if check.status == Status.FAILURE
    ]
