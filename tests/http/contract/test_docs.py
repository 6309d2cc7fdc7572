"""The pages of the contract, in a real browser: they work, are short enough, and ask no other host."""

import re
from urllib.parse import urlsplit

import pytest
from flask import Flask

from service.http.contract.docs import serve_docs
from tests.databases import either_database
from tests.http.contract.pages import opened
from tests.serving import serving

pytestmark = either_database
SCREEN = {"width": 1280, "height": 800}
# Those with the most to show: views, media types, statuses.
LONGEST = ("place_order", "move_order", "check_fit", "print_ticket", "put_chart")


@pytest.fixture(scope="module")
def drawn_once(browser, _house):
    """To draw it takes seconds: once for all that is looked at."""
    with serving(_house.contract.app) as address, opened(browser, address) as (page, asked, complaints):
        assert [] == complaints
        yield page, address, asked, complaints


@pytest.fixture
def drawn(drawn_once):
    """The page, its address, all that it asked for, and what it complains of in this test."""
    drawn_once[-1].clear()
    return drawn_once


def hosts_of(urls):
    return {urlsplit(url).netloc for url in urls if not url.startswith("data:")}


def test_every_operation_of_the_contract_is_on_the_page(drawn, house):
    page, _, _, complaints = drawn
    methods = {"get", "put", "post", "delete", "patch"}
    operations = [each for item in house.contract.document["paths"].values() for each in item if each in methods]
    assert len(operations) == page.locator(".opblock").count() - len(house.contract.document["webhooks"])
    assert "Fitting service" in page.title()
    assert [] == complaints


def test_an_operation_is_tried_from_the_page_with_a_key(drawn, shop):
    page, address, asked, complaints = drawn
    page.click(".auth-wrapper .authorize")
    page.fill(".auth-container input", shop.staff._key)  # noqa: SLF001  the page's visitor types it
    page.click(".auth-container button[type=submit]")
    page.click(".auth-container button.btn-done")
    page.click("#operations-charts-list_charts .opblock-summary-control")
    page.click("#operations-charts-list_charts .try-out__btn")
    page.click("#operations-charts-list_charts .execute")
    page.wait_for_selector("#operations-charts-list_charts .live-responses-table .response")
    answered = page.inner_text("#operations-charts-list_charts .live-responses-table .response .response-col_status")
    assert "200" == answered.split()[0]
    assert f"{address}/v1/charts" in asked
    assert {urlsplit(address).netloc} == hosts_of(asked)
    assert [] == complaints


def test_the_page_may_ask_no_other_host_and_runs_no_script_of_its_own_text(house):
    answer = house.contract.app.test_client().get("/docs")
    allowed = answer.headers["Content-Security-Policy"]
    assert "default-src 'none'" in allowed
    assert "unsafe" not in allowed
    assert set() == set(re.findall(r"https?:[^;]*", allowed))
    assert [] == re.findall(r"(?:src|href)=[\"']?(?:https?:)?//", answer.text)


def test_a_browser_holds_the_page_to_that(drawn):
    page, _, _, complaints = drawn
    elsewhere = []
    page.route("http://elsewhere.example/**", lambda route: (elsewhere.append(route.request.url), route.abort()))
    refused = page.evaluate("fetch('http://elsewhere.example/').then(() => 'answered', error => String(error))")
    page.unroute("http://elsewhere.example/**")
    assert refused.startswith("TypeError")
    assert [] == elsewhere
    assert any("Content Security Policy" in each for each in complaints)


def test_an_operation_takes_less_than_three_screens(drawn):
    page, _, _, complaints = drawn
    page.set_viewport_size(SCREEN)
    for name in LONGEST:
        block = page.locator(f".opblock[id$='-{name}']")
        block.locator(".opblock-summary-control").click()
        block.locator(".responses-table .highlight-code").last.wait_for()
        assert block.bounding_box()["height"] < 3 * SCREEN["height"], name
        block.locator(".opblock-summary-control").click()
    assert [] == complaints


@pytest.mark.parametrize("name", ["index.html", "swagger-ui.js", "../settings.py", "..%2fflask_swagger_ui.py", ""])
def test_nothing_but_what_the_page_needs_is_served_beside_it(house, name):
    assert 404 == house.contract.app.test_client().get(f"/docs/{name}").status_code


def test_a_part_that_a_browser_has_is_not_sent_again(house):
    client = house.contract.app.test_client()
    first = client.get("/docs/swagger-ui.css")
    again = client.get("/docs/swagger-ui.css", headers={"If-None-Match": first.headers["ETag"]})
    assert (200, 304) == (first.status_code, again.status_code)


@pytest.mark.parametrize("path", ["/openapi.json", "/docs/swagger-ui-bundle.js"])
def test_what_a_browser_keeps_is_not_sent_again(house, path):
    client = house.contract.app.test_client()
    first = client.get(path)
    assert (200, "no-cache") == (first.status_code, first.headers["Cache-Control"])
    again = client.get(path, headers={"If-None-Match": first.headers["ETag"]})
    assert (304, b"") == (again.status_code, again.data)
    assert 200 == client.get(path, headers={"If-None-Match": '"another"'}).status_code


def test_the_contract_is_served_as_it_is_written(house):
    assert house.contract.document == house.contract.app.test_client().get("/openapi.json").json


def test_the_contract_is_made_once(house):
    made = []
    app = Flask("other")
    serve_docs(app, lambda: made.append(1) or b"{}")
    assert [b"{}"] * 3 == [app.test_client().get("/openapi.json").data for _ in range(3)]
    assert [1] == made
