from dataclasses import replace

import pytest
from click.testing import CliRunner

from service.console import main
from service.use_cases.events.webhooks import WebhookAsked, open_webhook
from service.use_cases.idempotency import IdempotentRequest
from tests.delivery.receiver import receiving
from tests.http.sheets import placed


@pytest.fixture
def console(file_url):
    def say(*words, **settings):
        return CliRunner().invoke(main, list(words), env={"FITTING_DATABASE_URL": file_url, **settings})

    return say


def test_the_operator_delivers_what_is_due_once(console, house, shop, staff):
    with receiving() as receiver:
        context = replace(house.context, webhooks_anywhere=True)
        open_webhook(
            context,
            shop.caller,
            WebhookAsked(receiver.url),
            IdempotentRequest("t", None, ""),
            lambda hook: {"id": hook.id},
        )
        placed(staff)
        assert 0 == console("deliver", "--once", FITTING_WEBHOOKS="anywhere").exit_code
    assert [1] == receiver.cursors


def test_unless_he_allows_it_nothing_is_sent_inside_the_house(console, house, shop, staff):
    with receiving() as receiver:
        context = replace(house.context, webhooks_anywhere=True)
        open_webhook(
            context,
            shop.caller,
            WebhookAsked(receiver.url),
            IdempotentRequest("t", None, ""),
            lambda hook: {"id": hook.id},
        )
        placed(staff)
        assert 0 == console("deliver", "--once").exit_code
        assert [] == receiver.got
    assert "its address is not https" == staff.get("/v1/webhooks").body["webhooks"][0]["last_failure"]


@pytest.mark.parametrize(
    ("name", "value"),
    [("FITTING_WEBHOOKS", "all"), ("FITTING_WEBHOOK_SECONDS", "0"), ("FITTING_WEBHOOK_SECONDS", "61")],
)
def test_a_wrong_setting_is_said_in_one_line(console, name, value):
    result = console("deliver", "--once", **{name: value})
    assert (1, 1) == (result.exit_code, result.output.count("\n"))
    assert name in result.output
