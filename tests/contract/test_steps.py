"""The programs of "Integrate in five steps" join a shop that is served, and the page shows these very files."""

import os
import re
import subprocess
import sys
from html import unescape

import pytest

from service.http.contract.steps import FOLDER, INTEGRATIONS, LANGUAGES, steps_of
from service.use_cases.shop.keys import give_key
from tests.contract.npm import said
from tests.http.sheets import placed
from tests.http.shop.charts import CHART, put
from tests.serving import serving
from tests.waiting import PATIENCE_SECONDS

RUN_BY = {"py": sys.executable, "mjs": "node"}
LINES_LESS_THAN = 60
ORIGIN = "https://shop.example"
FILES = [f"{each.name}.{language}" for each in INTEGRATIONS for language in LANGUAGES]
# 952 is the prefix that GS1 keeps for examples.
GTINS = ["9520000000011", "9520000000028", "9520000000035", "9520000000042"]


@pytest.fixture
def address(house):
    with serving(house.contract.app) as address:
        yield address


@pytest.fixture
def joined(address, shop, tmp_path):
    """Runs a program of the page beside the served shop, with a key for its scope; what it printed."""

    def run(file, *words, scope, origins=(), **more):
        key = give_key(shop.house.context, shop.id, file, frozenset({scope}), origins=origins)
        program = [RUN_BY[file.rpartition(".")[2]], FOLDER / file, *words]
        env = {"PATH": os.environ["PATH"], "BASE_URL": address, "KEY": key, "NO_PROXY": "127.0.0.1", **more}
        return said(
            subprocess.run(
                program, cwd=tmp_path, env=env, check=False, capture_output=True, text=True, timeout=PATIENCE_SECONDS
            )
        )

    return run


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_till_sells_a_hem_once_however_often_it_sends_the_sale(joined, staff, language):
    first = joined(f"till.{language}", "2026/00123", scope="order")
    again = joined(f"till.{language}", "2026/00123", scope="order")

    (order,) = staff.get("/v1/orders", query={"sale_ref": "2026/00123"}).body["orders"]
    charges = staff.get(f"/v1/orders/{order['id']}/charges").body
    assert f"Quote: {charges['total']['minor'] / 100:.2f} EUR earliest {order['promised_for']}\n" in first
    for printed in (first, again):
        assert f"Order {order['number']} promised for {order['promised_for']}\n" in printed
        assert staff.get(f"/v1/orders/{order['id']}/customer-slip").body in printed
    assert f"order.placed order {order['number']} marked\n" in first
    assert "order.placed" not in again


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_web_shop_advises_a_size_and_fills_its_basket(joined, staff, language):
    put(staff, CHART, sizes=[size | {"sku": f"{size['garment']}-{size['label']}"} for size in CHART["sizes"]])
    printed = joined(f"web_shop.{language}", "everyday", scope="advise")
    assert printed.startswith("38R? Within one size of the best by ")
    assert re.search(r"^Work: [0-9]+\.[0-9]{2} EUR .*by 2026-03-0[3-9]$", printed, re.MULTILINE), printed
    assert printed.endswith("Basket: jacket 38R jacket-38R\nBasket: trousers 30 trousers-30\n")


def test_a_web_shops_page_does_so_with_a_key_that_everybody_can_read(joined, staff):
    put(staff, CHART, sizes=[size | {"gtin": gtin} for size, gtin in zip(CHART["sizes"], GTINS, strict=True)])
    printed = joined("web_shop.mjs", "everyday", scope="advise", origins=(ORIGIN,), ORIGIN=ORIGIN)
    assert printed.endswith(f"Basket: jacket 38R {GTINS[1]}\nBasket: trousers 30 {GTINS[2]}\n")


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_workrooms_board_shows_what_is_to_do_and_moves_an_order_along(joined, clock, staff, language):
    number = placed(staff)["number"]
    clock.advance(days=1)
    printed = joined(f"workroom_board.{language}", number, "accepted", scope="workroom", ROUNDS="1")

    (order,) = staff.get("/v1/orders", query={"number": number}).body["orders"]
    assert "accepted" == order["state"]
    assert f"Order {number} is accepted\n" in printed
    assert "1 accepted" in printed
    assert f"  {number} today: plain hem" in printed


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_program_that_is_refused_says_what_to_mend(address, shop, tmp_path, language):
    key = give_key(shop.house.context, shop.id, "till", frozenset({"advise"}))
    env = {"PATH": os.environ["PATH"], "BASE_URL": address, "KEY": key, "NO_PROXY": "127.0.0.1"}
    program = [RUN_BY[language], FOLDER / f"till.{language}", "sale-1"]
    done = subprocess.run(program, cwd=tmp_path, env=env, check=False, capture_output=True, text=True)
    assert 0 != done.returncode
    assert "scope_missing" in done.stderr


@pytest.mark.parametrize("file", FILES)
def test_a_program_is_short_and_counts_its_five_steps(file):
    text = (FOLDER / file).read_text("utf-8")
    assert LINES_LESS_THAN > len(text.splitlines())
    assert 5 == len(steps_of(text))


def test_the_page_shows_the_programs_as_they_are_run(house):
    page = house.contract.app.test_client().get("/docs/steps")
    shown = [unescape(each) for each in re.findall(r"<pre><code>(.*?)</code></pre>", page.text, re.DOTALL)]
    assert [(FOLDER / file).read_text("utf-8") for file in FILES] == shown
    assert "default-src 'none'" in page.headers["Content-Security-Policy"]
    assert [] == re.findall(r"(?:src|href)=[\"']?(?:https?:)?//", page.text)
    for file in FILES:
        assert (FOLDER / file).read_text("utf-8") == house.contract.app.test_client().get(f"/docs/steps/{file}").text
    assert 404 == house.contract.app.test_client().get("/docs/steps/other.py").status_code
