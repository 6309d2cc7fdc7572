"""What the bench notes on a line: inlay that it found, and cloth that is cut."""

import pytest
from playwright.sync_api import expect

from tests.demo.charts import everyday
from tests.demo.floor.fittings import go_on, order_of
from tests.demo.floor.floors import PORTRAIT
from tests.demo.floor.looking import seen
from tests.http.sheets import inches

OUT = {"alteration": "trouser_waist_out", "amount": inches(1), "basis": "girth"}
ON_THE_BENCH = [("accepted", {}), ("in_workroom", {})]


@pytest.fixture
def on_bench(tablet, site):
    """Trousers to be let out, on the bench of a tailor who has their sheet open."""
    # Inlay that was found is remembered for a chart's revision: this test has one of its own.
    key = site.house.context.new_id()
    assert 200 == site.shop.staff.ask("PUT", "/v1/charts/everyday", everyday() | {"title": f"Everyday {key}"}).status
    garments = [{"garment": "trousers", "chart": "everyday", "label": "30", "hemmed": True}]
    sheet = {"garments": garments, "lines": [OUT], "by": "fitter-2"}
    order = site.shop.staff.post("/v1/orders", sheet, headers={"Idempotency-Key": key}).body
    go_on(site, order, *ON_THE_BENCH)
    tablet.sign_in("tailor-1")
    expect(tablet.page.get_by_role("region", name="Trousers bench")).to_be_visible()
    tablet.page.keyboard.type(f"{order['number']}\n")
    tablet.sees("if the inlay allows")
    yield order
    assert [] == tablet.complaints


def test_an_inlay_that_is_too_small_is_kept_and_said_at_once(tablet, on_bench, site):
    tablet.tap("@note 1", *["@inlay less"] * 4, "@Counted girth", "@keep inlay")
    tablet.sees("inlay 1/2 in")
    expect(tablet.page.locator(".order-sheet .slip[role=alert]")).to_be_visible()
    [line] = order_of(site, on_bench["number"])["lines"]
    assert ("1/2 in", "girth", False) == (line["inlay_seen"]["text"], line["inlay_basis"], line["subject_to_inlay"])


def test_cloth_that_is_cut_is_noted_by_whoever_cut_it(tablet, on_bench, site):
    tablet.tap("@note 1", "@is cut")
    expect(tablet.page.locator(".noting")).to_have_count(0)
    tablet.tap("@note 1")
    expect(tablet.find("@leave note")).to_be_visible()
    assert 0 == tablet.find("@is cut").count()
    order = order_of(site, on_bench["number"])
    assert order["lines"][0]["cloth_cut"]
    assert "tailor-1" == order["events"][-1]["by"]


def test_the_note_is_clean_whole_and_large_at_three_sizes(tablet, on_bench):
    tablet.page.set_viewport_size(PORTRAIT)
    tablet.tap("@note 1")
    expect(tablet.find("@keep inlay")).to_be_visible()
    seen(tablet, "note")
