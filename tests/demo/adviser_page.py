"""The invented shop's page with its size adviser, served at an origin of its own and opened in a real browser."""

import json
import re
import socket
import threading
from contextlib import contextmanager
from types import SimpleNamespace

from playwright.sync_api import expect

from service.use_cases.shop.keys import give_key
from tests.demo.scripts import demo_script
from tests.house import HOUSE

ADVISER = HOUSE / "demo" / "shop" / "adviser"
LANGUAGES = ("en-GB", "en-US", "de", "fr")
DESK, TABLET, PHONE, NARROW = ({"width": width, "height": 844} for width in (1200, 768, 390, 320))
ABOUT = {"height": "178", "weight": "76 kg", "age": "35"}
SAID = [
    {"dimension": "stature", "value": 178, "unit": "cm", "source": "self_reported"},
    {"dimension": "body_mass", "value": 76, "unit": "kg", "source": "self_reported"},
]
ASKED = {"readings": SAID, "age_years": 35, "charts": ["everyday"], "garments": ["jacket", "trousers"], "limit": 6}


def words_of(language):
    """The table of a language, as the page has it."""
    return json.loads((ADVISER / "words" / f"{language}.json").read_text("utf-8"))


@contextmanager
def served_page(api, context, shop_id, *, key=None, folder=None):
    """The page at a free port, of the demo's files or a folder's, with a web key of that origin unless one is given."""
    door = socket.create_server(("127.0.0.1", 0))
    origin = f"http://127.0.0.1:{door.getsockname()[1]}"
    given = key or give_key(context, shop_id, "page", frozenset({"advise"}), origins=(origin,))
    pages = demo_script("shop_page")
    pages.FOLDER = folder or pages.FOLDER
    server = pages.shop_page(door, api, given)
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02})
    thread.start()
    try:
        yield SimpleNamespace(origin=origin, api=api, key=given)
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


@contextmanager
def visiting(browser, site, size=DESK, language="en-GB"):
    """The page as a visitor has it before them; what it asked for and complained of beside it."""
    page = browser.new_page()
    page.asked, page.complaints = [], []
    page.on("request", lambda request: page.asked.append(request.url))
    page.on("console", lambda said: page.complaints.append(said.text) if said.type in ("error", "warning") else None)
    page.on("pageerror", lambda error: page.complaints.append(str(error)))
    page.set_viewport_size(size)
    try:
        page.goto(site.origin)
        if language != "en-GB":
            speak(page, language)
        expect(page.get_by_role("button", name=words_of(language)["find"])).to_be_visible()
        yield page
    finally:
        page.close()


def speak(page, language):
    page.evaluate("language => { document.querySelector('size-adviser').lang = language; }", language)


def choose_path(page, path):
    page.locator(f"[name=path][value={path}]").check()


def fill(page, **fields):
    for name, value in fields.items():
        field = page.locator(f"size-adviser #{name}")
        if name in ("age", "whose"):
            field.select_option(value)
        else:
            field.fill(value)


def find(page):
    """Ask, and wait until the answer, or what is wrong, is there."""
    page.locator("size-adviser form[part=form] button[type=submit]").click()
    settled(page)


def settled(page):
    expect(page.locator("size-adviser [aria-busy]")).to_have_count(0)
    expect(page.locator("size-adviser [role=status]")).to_have_text("")


def answer(page, path="body", **fields):
    choose_path(page, path)
    fill(page, **(fields or ABOUT))
    find(page)


def measure(page, *values):
    for name, value in zip(("first", "second"), values, strict=False):
        page.locator(f"size-adviser #{name}").fill(value)
    page.locator("size-adviser form.lead button[type=submit]").click()
    settled(page)


def heading(page):
    return page.locator("size-adviser .answer h3").first.inner_text()


def next_question(page):
    return page.get_by_role("heading", name=re.compile("^One measure more")).inner_text().split(": ")[1]


def everything(page):
    """All that the adviser shows."""
    return page.locator("size-adviser").evaluate("it => [...it.shadowRoot.children].map(e => e.innerText).join('\\n')")


def take_button(page):
    return page.get_by_role("button", name=re.compile("^Take "))
