import io
import json
import logging
import logging.config
import re

import pytest

from service import logs
from tests.house import MODULES
from tests.http.sheets import SLIM, moved, placed


@pytest.fixture
def lines():
    """What is logged, a document a line, as the service sets logging up."""
    written = io.StringIO()
    root, before = logging.getLogger(), logging.getLogger().handlers[:]
    level = root.level
    config = logs.config()
    config["handlers"]["stderr"]["stream"] = written
    logging.config.dictConfig(config)
    yield lambda: [json.loads(line) for line in written.getvalue().splitlines()]
    root.handlers[:] = before
    root.setLevel(level)


def answered(lines):
    return [line for line in lines() if line["event"] == "answered"]


def test_a_request_is_a_line_with_its_operation_and_its_id(lines, staff):
    answer = staff.get("/v1/charts", headers={"X-Request-Id": "proxy-12345"})
    (line,) = answered(lines)
    assert "proxy-12345" == answer.headers["X-Request-Id"] == line["request_id"]
    assert ("charts.list_charts", "GET", 200, "info") == (
        line["operation"],
        line["method"],
        line["status"],
        line["level"],
    )
    assert line["milliseconds"] > 0
    assert re.fullmatch(r"[0-9-]{10}T[0-9:.]+Z", line["timestamp"])


@pytest.mark.parametrize("given", ["", "short", "x" * 65, "a b c d e f", "line\tbreak", "é" * 10])
def test_an_id_that_is_none_is_replaced(lines, staff, given):
    kept = staff.get("/v1/charts", headers={"X-Request-Id": given}).headers["X-Request-Id"]
    assert re.fullmatch(r"[0-9a-f-]{36}", kept)
    assert kept == answered(lines)[-1]["request_id"]


def test_two_requests_have_two_ids(lines, staff):
    for _ in range(2):
        staff.get("/v1/charts")
    one, two = answered(lines)
    assert one["request_id"] != two["request_id"]


def test_a_refusal_is_logged_by_its_code(lines, staff):
    staff.get("/v1/orders/00000000-0000-4000-8000-000000000000")
    (line,) = answered(lines)
    assert (404, "not_found") == (line["status"], line["code"])


def test_health_and_metrics_are_not_logged(lines, stranger):
    for path in ("/health/live", "/health/ready", "/metrics"):
        assert 200 == stranger.get(path).status
    assert [] == lines()


def test_no_line_says_anything_of_a_person(lines, staff, capsys):
    set_id = staff.post(
        "/v1/measurement-sets",
        {"readings": SLIM, "customer_ref": "customer-77", "by": "fitter-99", "note": "stoops", "age_years": 34},
    ).body["id"]
    staff.get("/v1/customers/customer-77/measurement-sets")
    made = placed(staff, customer_ref="customer-77", sale_ref="sale-88", by="fitter-99")
    moved(staff, made["id"], "accepted", 1, by="bench-66", note="left shoulder low")
    staff.get("/v1/orders", query={"customer_ref": "customer-77"})
    staff.get(made["collection_slip"]["path"])
    staff.post("/v1/orders", {"customer_ref": "customer-77", "nonsense": "914.4"}, key="key-of-sale-88")
    # Ids and times are left out: any digits may stand in them by chance.
    by_chance = {"request_id", "timestamp", "milliseconds"}
    said = json.dumps([{name: line[name] for name in line.keys() - by_chance} for line in lines()])
    assert 7 == len(answered(lines))
    secret = ("customer-77", "sale-88", "fitter-99", "bench-66", "stoops", "shoulder", "914", set_id, made["id"])
    assert [] == [word for word in (*secret, made["collection_slip"]["token"]) if word in said]


def test_what_is_not_listed_is_left_out(lines):
    logging.getLogger("service.tests").info("seen", extra={"customer_ref": "customer-77", "operation": "charts.show"})
    (line,) = lines()
    assert {"timestamp", "level", "logger", "event", "operation"} == set(line)


def test_of_a_fault_the_kind_and_the_places_are_told_and_not_its_words(lines):
    def read(reading):
        raise ValueError(f"cannot read {reading}")

    try:
        try:
            read("chest 914.4 of customer-77")
        except ValueError as error:
            raise RuntimeError("no plan for customer-77") from error
    except RuntimeError:
        logging.getLogger("service.tests").exception("fault")
    (line,) = lines()
    assert ["RuntimeError", "ValueError"] == line["fault"]
    assert any(place.endswith(" read") for place in line["places"])
    assert "customer-77" not in json.dumps(line)
    assert "914" not in json.dumps(line)


def test_no_message_of_ours_is_filled_with_what_came_in():
    # A fact has a name of its own, and only names that are listed pass; a message filled with %s would pass all.
    filled = re.compile(r"\blog\.\w+\(\s*(?:f\"|\"[^\"]*%[sdr])")
    assert [] == [str(path) for path in MODULES if filled.search(path.read_text("utf-8"))]
