"""Papers over HTTP: every format by Accept, of one order as it stands."""

import io
from zoneinfo import ZoneInfo

import pypdf
import pytest

from service.app import create_app
from service.settings import Settings
from service.use_cases.shop.keys import give_key
from tests.client import Client, Contract
from tests.http.sheets import JACKET, TROUSERS, inches, moved, placed
from tests.papers.looking import PDF, RECEIPT, SVG, pages_of, scanned
from tests.papers.printer import printed_by

KINDS = ["text/plain", "application/pdf", "image/svg+xml", "application/octet-stream", "application/json"]
PAPERS = ["ticket", "customer-slip"]


def paper(client, order, what, accept):
    return client.get(f"/v1/orders/{order['id']}/{what}", headers={"Accept": accept})


@pytest.mark.parametrize("what", PAPERS)
@pytest.mark.parametrize("accept", KINDS)
def test_a_paper_is_served_in_every_format(staff, what, accept):
    answer = paper(staff, placed(staff), what, accept)
    # The customer's paper is in their language too.
    varies = "Accept, Accept-Language" if what == "customer-slip" else "Accept"
    assert (200, accept, varies) == (
        answer.status,
        answer.headers["Content-Type"].split(";")[0],
        answer.headers["Vary"],
    )
    assert "no-store" == answer.headers["Cache-Control"]


@pytest.mark.parametrize("what", PAPERS)
@pytest.mark.parametrize(
    ("accept", "served"),
    [
        (None, "text/plain"),
        ("*/*", "text/plain"),
        ("text/plain; charset=utf-8", "text/plain"),
        ("image/svg+xml;charset=UTF-8", "image/svg+xml"),
        ("text/html,application/xhtml+xml,application/xml;q=0.9,image/avif,image/webp,*/*;q=0.8", "text/plain"),
        ("application/*", "application/pdf"),
        ("image/*", "image/svg+xml"),
        ("application/json;q=0.5, application/pdf;q=0.9", "application/pdf"),
        ("text/html, image/svg+xml;q=0.2", "image/svg+xml"),
    ],
)
def test_the_caller_gets_what_he_likes_best(staff, what, accept, served):
    assert served == paper(staff, placed(staff), what, accept).headers["Content-Type"].split(";")[0]


@pytest.mark.parametrize("what", PAPERS)
@pytest.mark.parametrize("accept", ["text/html", "image/png", "application/pdf;q=0"])
def test_another_format_is_refused_with_those_that_there_are(staff, what, accept):
    answer = paper(staff, placed(staff), what, accept)
    assert (406, "not_acceptable", [""]) == answer.problem
    for kind in KINDS:
        assert kind in answer.body["detail"]


def test_what_the_garment_and_the_line_say_reaches_order_and_ticket(staff):
    jacket = JACKET | {
        "cloth": "Köper 羊毛",
        "style": "two buttons",
        "lining": "half",
        "pattern": "check",
        "repeat": inches("1 1/4"),
        "must_keep": "side vents",
        "faults_seen": "shine at the elbow",
    }
    line = {"alteration": "jacket_waist_in", "amount": inches(1), "basis": "girth", "marked_with": "chalk"}
    order = placed(staff, garments=[jacket], hems=[], lines=[line])
    shown = staff.get(f"/v1/orders/{order['id']}").body
    (garment,), (worked,) = shown["garments"], shown["lines"]
    said = {name: value for name, value in jacket.items() if name != "repeat"}
    assert said == {name: garment[name] for name in said}
    assert ("1 1/4 in", "chalk") == (garment["repeat"]["text"], worked["marked_with"])
    (piece,) = paper(staff, order, "ticket", "application/json").body["garments"]
    assert ("two buttons", "half: finish the seams inside", "side vents", "shine at the elbow", "Köper 羊毛") == (
        *(piece[name] for name in ("style", "lining", "must_keep", "faults_seen", "cloth")),
    )
    assert "check, repeat 1 1/4 in / 32 mm: match it at every seam" == piece["pattern"]
    assert "chalk" == piece["lines"][0]["marked"]


def test_every_format_tells_the_order_as_it_stands_now(staff):
    order = placed(staff)
    moved(staff, order["id"], "accepted", 1)
    moved(staff, order["id"], "in_workroom", 2)
    moved(staff, order["id"], "query", 3, question="which leg?")
    assert "QUERY: which leg?" in paper(staff, order, "ticket", "text/plain").body
    assert "QUERY: which leg?" in paper(staff, order, "ticket", SVG).body
    pdf = pypdf.PdfReader(io.BytesIO(paper(staff, order, "ticket", PDF).raw))
    assert "QUERY: which leg?" in pdf.pages[0].extract_text()
    rows = [row for row, _ in printed_by(paper(staff, order, "ticket", RECEIPT).raw).rows]
    assert "!! QUERY: which leg?" in rows


def test_the_hour_is_the_shops(shop, staff, clock):
    order = placed(staff)
    hour = clock.now().astimezone(ZoneInfo(shop.caller.shop.time_zone))
    assert f"{hour:%H:%M}" == paper(staff, order, "ticket", "application/json").body["placed"][-5:]


def test_the_bench_prints_papers_and_a_measuring_key_does_not(shop, staff):
    order = placed(staff)
    assert [200, 200] == [paper(shop.client("workroom"), order, what, "*/*").status for what in PAPERS]
    assert [403, 403] == [paper(shop.client("measure"), order, what, "*/*").status for what in PAPERS]


def test_the_slips_code_leads_to_the_slip_where_the_shop_says_its_address(house, shop, staff, stranger):
    app = create_app(Settings(database_url=house.url, public_url="https://fitting.example"), house.context)
    order = placed(staff, garments=[TROUSERS])
    key = give_key(house.context, shop.id, "till", frozenset({"order"}))
    elsewhere = Client(Contract(app), key)
    page = pages_of(paper(elsewhere, order, "customer-slip", PDF).raw)[0]
    assert {
        "Code128": order["number"],
        "QRCode": f"https://fitting.example{order['collection_slip']['path']}",
    } == scanned(page)
    assert 200 == stranger.get(order["collection_slip"]["path"]).status
