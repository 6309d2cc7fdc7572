"""A page in a real browser: the browser itself asks first, lets the page read, and keeps other pages out."""

import threading
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest

from service.use_cases.shop.keys import give_key
from tests.databases import either_database
from tests.http.sheets import SLIM
from tests.serving import serving

pytestmark = either_database
ASK = """async ([address, key, question]) => {
    const headers = {Authorization: `Bearer ${key}`, "Content-Type": "application/json"};
    try {
        const body = JSON.stringify(question);
        const answer = await fetch(`${address}/v1/size-advice`, {method: "POST", headers, body});
        const told = await answer.json();
        const size = told.plans ? told.plans[0].jacket.label : told.code;
        return [answer.status, size, answer.headers.get("RateLimit-Limit")];
    } catch (error) {
        return [0, error.name, null];
    }
}"""


class Blank(BaseHTTPRequestHandler):
    """A page with nothing on it."""

    def do_GET(self):
        self.send_response(200)
        self.send_header("Content-Type", "text/html")
        self.end_headers()
        self.wfile.write(b"<!doctype html><title>A shop</title>")

    def log_message(self, *_):
        pass


@contextmanager
def a_shops_pages():
    server = ThreadingHTTPServer(("127.0.0.1", 0), Blank)
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02})
    thread.start()
    try:
        yield server.server_address[1]
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


@pytest.fixture
def asked(house, shop, browser):
    """What a page of an origin is answered, when the key is for pages of 127.0.0.1."""

    def ask(host, question, *, web=True):
        with a_shops_pages() as port, serving(house.contract.app) as address:
            origins = (f"http://127.0.0.1:{port}",) if web else ()
            key = give_key(house.context, shop.id, "page", frozenset({"advise"}), origins=origins)
            page = browser.new_page()
            page.goto(f"http://{host}:{port}/")
            told = page.evaluate(ASK, [address, key, question])
            page.close()
            return told

    return ask


def test_a_page_of_the_keys_origin_gets_advice_and_reads_what_is_left(asked):
    # A tenth of the page's million: no visitor may take all of it.
    assert [200, "36R", "100000"] == asked("127.0.0.1", {"readings": SLIM})


def test_it_reads_why_it_was_refused(asked):
    assert [422, "field_wrong"] == asked("127.0.0.1", {"limit": 0})[:2]


def test_a_page_of_another_origin_is_kept_out_by_the_browser(asked):
    assert [0, "TypeError", None] == asked("localhost", {"readings": SLIM})


def test_a_secret_key_opens_no_page(asked):
    assert [0, "TypeError", None] == asked("127.0.0.1", {"readings": SLIM}, web=False)
