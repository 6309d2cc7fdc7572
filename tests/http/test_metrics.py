from uuid import uuid4

import pytest
from prometheus_client.parser import text_string_to_metric_families

from service.app import create_app
from service.http import metrics
from service.settings import Settings
from tests.client import Client, Contract
from tests.days import Clock
from tests.http.sheets import SLIM, moved, order, placed
from tests.shops import new_desk


def told(client):
    """Every figure by its name and labels."""
    answer = client.get("/metrics")
    assert (200, "text/plain") == (answer.status, answer.headers["Content-Type"].partition(";")[0])
    return {
        (sample.name, *(sample.labels[name] for name in sorted(sample.labels))): sample.value
        for family in text_string_to_metric_families(answer.body)
        for sample in family.samples
    }


@pytest.fixture
def grown(stranger):
    """By how much a figure has grown since the test began."""
    before = told(stranger)

    def since(*name):
        return told(stranger).get(name, 0) - before.get(name, 0)

    return since


def test_answers_are_counted_and_timed_by_operation(grown, staff):
    for _ in range(3):
        staff.get("/v1/charts")
    staff.get("/v1/charts", query={"nonsense": "1"})
    assert 3 == grown("fitting_answers_total", "charts.list_charts", "200")
    assert 1 == grown("fitting_answers_total", "charts.list_charts", "422")
    assert 4 == grown("fitting_answer_seconds_count", "charts.list_charts")
    assert 0 < grown("fitting_answer_seconds_sum", "charts.list_charts") < 4


def test_refusals_are_counted_by_code(grown, staff, stranger):
    staff.get(f"/v1/orders/{uuid4()}")
    stranger.get("/v1/charts")
    assert (1, 1) == (grown("fitting_refusals_total", "not_found"), grown("fitting_refusals_total", "key_missing"))


def test_advice_is_counted_by_man(grown, staff):
    staff.post("/v1/size-advice", {"readings": SLIM, "charts": ["reference"]})
    people = [{"ref": f"m-{n}", "readings": SLIM} for n in range(5)]
    assert 200 == staff.post("/v1/size-advice/batch", {"charts": ["reference"], "people": people}).status
    assert 6 == grown("fitting_advice_total")


def test_an_order_is_counted_once_with_its_minutes_however_often_it_is_asked(grown, staff):
    for _ in range(3):
        minutes = staff.post("/v1/orders", order(), key="same").body["minutes"]
    staff.post("/v1/orders", {}, key="other")
    assert (1, minutes) == (grown("fitting_orders_placed_total"), grown("fitting_booked_minutes_total"))


def test_what_waits_for_the_relay_is_told_with_its_age(grown, clock, staff, stranger):
    assert 201 == staff.post("/v1/webhooks", {"url": "https://shop.example/events"}).status
    made = placed(staff)
    moved(staff, made["id"], "accepted", 1)
    assert 2 == grown("fitting_relay_waiting_events")
    # The oldest of any shop: those of other tests wait as well.
    before = told(stranger)[("fitting_relay_lag_seconds",)]
    clock.advance(seconds=90)
    assert before + 90 == told(stranger)[("fitting_relay_lag_seconds",)]
    assert 0 == grown("fitting_webhooks_disabled")


def test_no_figure_names_a_person_a_shop_or_an_address(staff, shop, stranger):
    made = placed(staff, customer_ref="customer-77", sale_ref="sale-88")
    staff.get("/v1/orders", query={"customer_ref": "customer-77"})
    staff.get(f"/v1/nowhere/{made['id']}")
    body = stranger.get("/metrics").body
    assert [] == [word for word in ("customer-77", "sale-88", made["id"], shop.id, "nowhere") if word in body]


@pytest.mark.parametrize(
    "fault", [OSError(28, "No space left on device"), IndexError("mmap slice assignment is wrong size")], ids=repr
)
def test_what_cannot_be_counted_is_answered_all_the_same(staff, monkeypatch, fault):
    def full(*_):
        raise fault

    for counter in (metrics.answers, metrics.orders):
        monkeypatch.setattr(counter, "labels", full)
        monkeypatch.setattr(counter, "inc", full)
    assert 200 == staff.get("/v1/charts").status
    assert 201 == staff.post("/v1/orders", order(), key=str(uuid4())).status


def test_with_its_database_away_it_says_so_and_counts_on(nowhere_url):
    context = new_desk(nowhere_url, Clock())
    figures = told(Client(Contract(create_app(Settings(), context))))
    assert 0 == figures[("fitting_database_up",)]
    assert ("fitting_relay_lag_seconds",) not in figures
    assert any(name[0] == "fitting_answers_total" for name in figures)
