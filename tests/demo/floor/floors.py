"""The floor's server over a shop of the test's own, and a tablet that is tapped as a finger taps it."""

import importlib
import re
import sys
import time
from contextlib import contextmanager
from types import SimpleNamespace

from playwright.sync_api import TimeoutError as TimedOut
from playwright.sync_api import expect

from service.use_cases.shop.keys import SCOPES, give_key
from tests.chromium import STEP_SECONDS
from tests.demo.charts import everyday
from tests.house import HOUSE
from tests.serving import serving
from tests.shops import new_shop, open_house
from tests.waiting import WaitedInVain, until

CODES = {"fitter-1": "2468", "tailor-1": "1357", "tailor-2": "3579", "manager-1": "8642"}
ALL_BENCHES = ["trousers", "jackets", "finishing"]
WORDS = {"fitter-1": [], "tailor-1": ALL_BENCHES, "tailor-2": ALL_BENCHES, "manager-1": ["admin"]}
LANDSCAPE, PORTRAIT, DESK = (
    {"width": 1280, "height": 800},
    {"width": 800, "height": 1280},
    {"width": 1600, "height": 900},
)


def part(name):
    """A module of the floor's server, found as its script finds it."""
    folder = str(HOUSE / "demo" / "floor")
    sys.path.insert(0, folder)
    try:
        return importlib.import_module(name)
    finally:
        sys.path.remove(folder)


floor, staff = part("floor"), part("staff")


def signed_up(file):
    for who, code in CODES.items():
        staff.add_to(file, who, code, WORDS[who])
    return staff.Staff.of(file)


def keys_of(context, shop_id):
    usual = frozenset({"measure", "advise", "order", "workroom"})
    return {
        "staff": give_key(context, shop_id, "floor", usual),
        "admin": give_key(context, shop_id, "all", frozenset(SCOPES)),
    }


@contextmanager
def open_floor(house, shop, file, lock_seconds=3600.0):
    """Service and floor, each at an address of its own."""
    with serving(house.contract.app) as api:
        app = floor.floor_app(floor.Service(api, keys_of(house.context, shop.id)), signed_up(file), lock_seconds)
        with serving(app) as address:
            yield SimpleNamespace(api=api, address=address, shop=shop, house=house)


MIDDLE = """it => { if (it.matches(':disabled')) return [];
it.scrollIntoView({block: 'nearest'}); const at = it.getBoundingClientRect();
const middle = [at.x + at.width / 2, at.y + at.height / 2], hit = document.elementFromPoint(...middle);
return at.width && hit && (it.contains(hit) || hit.contains(it)) ? middle : []; }"""


@contextmanager
def open_floor_for_tests(url, file, lock_seconds=3600.0):
    """A shop of its own, with a chart and two tailors. One database: those of the operations are tested on both."""
    with open_house(url) as house:
        shop = new_shop(house)
        assert shop.staff.ask("PUT", "/v1/charts/everyday", everyday()).status == 201
        for who in ("tailor-1", "tailor-2"):
            shop.staff.ask("PUT", f"/v1/tailors/{who}", {"benches": ALL_BENCHES, "minutes_a_day": 420})
        with open_floor(house, shop, file, lock_seconds) as site:
            yield site


class Tablet:
    """A page that is touched. `taps` counts; `asked` is what it asked for, `complaints` the browser's."""

    def __init__(self, browser, address):
        self.page = browser.new_page()
        self.page.set_viewport_size(LANDSCAPE)
        self.address, self.taps, self.asked, self.complaints = address, 0, [], []
        self.page.on("request", lambda request: self.asked.append((request.method, request.url)))
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.page.on("console", lambda said: self.complaints.append(said.text) if said.type == "error" else None)
        self._hand = browser.new_cdp_session(self.page)
        self._hand.send("Emulation.setTouchEmulationEnabled", {"enabled": True})
        self.page.goto(address)

    def find(self, name, **more):
        if name.startswith("@"):
            return self.page.locator(f'[data-at="{name[1:]}"]').first
        return self.page.get_by_role("button", name=name, exact=True, **more).first

    def tap(self, *names, hold_ms=0):
        """A finger, on each of these: a button's name, or `@` and where it is."""
        for name in names:
            place = self.find(name) if isinstance(name, str) else name
            self.touch(*self.middle(place), hold_ms)

    def middle(self, place):
        """Where it is, once it is enabled, seen and nothing lies over it; the screen may draw itself again any time."""
        found = []
        try:
            until(lambda: found.extend(place.evaluate(MIDDLE)) or found, patience_seconds=STEP_SECONDS)
        except (WaitedInVain, TimedOut) as problem:
            seen = self.page.locator("body").inner_text()
            raise WaitedInVain(f"nothing to tap at {place}; the screen says: {seen}") from problem
        return found[:2]

    def touch(self, x, y, hold_ms=0):
        # A browser gives touches to the page in front; the others go on.
        self.page.bring_to_front()
        self.taps += 1
        self._hand.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
        if hold_ms:
            self.page.wait_for_timeout(hold_ms)
        self._hand.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})

    def scan(self, code):
        """As a wedge scanner types: key after key within some milliseconds, and Enter, however slow the page is."""
        pressed_at = time.time()
        for key in (*code, "\r"):
            pressed_at += 0.01
            told = {"key": "Enter" if key == "\r" else key, "text": key, "timestamp": pressed_at}
            self._hand.send("Input.dispatchKeyEvent", {"type": "keyDown", **told})
            self._hand.send("Input.dispatchKeyEvent", {"type": "keyUp", "key": told["key"], "timestamp": pressed_at})

    def sign_in(self, who):
        self.tap(who, *CODES[who], "Open")
        expect(self.page.locator(".bar .me")).to_have_text(who)

    def sees(self, words):
        expect(self.page.locator("main")).to_contain_text(words)

    def close(self):
        """Away, and nothing of it is left in the browser."""
        self.page.evaluate("localStorage.clear()")
        self.page.context.clear_cookies()
        self.page.close()


def foreign(contract, tablets):
    """What was asked that no till could ask, of another host or beyond the contract, but for the floor's own door."""
    paths = {
        method.upper(): [
            re.sub(r"\\\{.*?\\\}", "[^/]+", re.escape(path))
            for path, each in contract["paths"].items()
            if method in each
        ]
        for method in ("get", "post", "put", "patch", "delete")
    }
    own = r"/|/page/[\w./-]+|/floor/(door|sign-in|lock|here|feed)"
    found = []
    for tablet in tablets:
        for method, url in tablet.asked:
            path = url.removeprefix(tablet.address).partition("?")[0]
            if url.startswith(("data:", "blob:")) or re.fullmatch(own, path):
                continue
            if not any(re.fullmatch(each, path) for each in paths[method]):
                found.append((method, url))
    return found
