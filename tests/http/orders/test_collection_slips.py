import pytest

from service.use_cases.shop.shops import say_on_slips
from tests.http.sheets import moved, placed
from tests.shops import new_shop


def test_anybody_with_the_slip_sees_where_the_order_stands_and_its_day_and_nothing_of_a_person(staff, stranger):
    order = placed(staff, customer_ref="C-1", sale_ref="S-1", by="fitter-9")
    answer = stranger.get(order["collection_slip"]["path"])
    assert {
        "shop": "Corner Tailors",
        "number": order["number"],
        "state": "marked",
        "state_words": "received",
        "promised_for": "2026-03-03",
        "day": "Tuesday 3 March 2026",
        "hour": "",
        "fittings": [],
        "garments": ["1 pair of trousers"],
        # What is done and what it cost are on the paper alone: a link is passed on.
        "work": [],
        "total": "",
        "deposit": "",
        "balance": "EUR 12.00",
        "ask_at": "",
        "advice": ["Bring this slip.", "Try everything on before you take it home."],
        "says": order["number"],
        "language": "en-GB",
    } == answer.body
    for media in ("text/html", "text/plain", "application/json"):
        shown = stranger.get(order["collection_slip"]["path"], headers={"Accept": media})
        assert (200, media) == (shown.status, shown.headers["Content-Type"].split(";")[0])
        for secret in (b"C-1", b"S-1", b"fitter-9", order["id"].encode(), b"30 "):
            assert secret not in shown.raw


def test_a_slip_says_what_is_done_what_it_costs_from_which_hour_and_where_to_ask(house, stranger):
    shop = new_shop(house)
    say_on_slips(house.context, shop.id, "16:00", None)
    say_on_slips(house.context, shop.id, None, "the counter, 01 555 0100")
    order = placed(shop.staff)
    kept = shop.staff.get(f"/v1/orders/{order['id']}/customer-slip", headers={"Accept": "application/json"}).body
    assert ("Tuesday 3 March 2026", "from 16:00", "the counter, 01 555 0100") == (
        kept["day"],
        kept["hour"],
        kept["ask_at"],
    )
    assert (["trousers: shorten, plain hem"], "EUR 12.00") == (kept["work"], kept["total"])
    text = shop.staff.get(f"/v1/orders/{order['id']}/customer-slip", headers={"Accept": "text/plain"}).body
    assert "READY BY  Tuesday 3 March 2026, from 16:00" in text
    page = stranger.get(order["collection_slip"]["path"], headers={"Accept": "text/html"}).body
    assert "Ask at</dt><dd>the counter, 01 555 0100" in page


@pytest.mark.parametrize(
    ("asked", "reads", "shop_speaks", "answered"),
    [
        ("", None, None, "en-GB"), ("", "*", None, "en-GB"), ("", "nl", None, "en-GB"), ("", "nl", "fr", "fr"),
        ("", None, "de", "de"), ("", "fr-CA,en;q=0.5", "de", "fr"), ("", "de-AT", None, "de"),
        ("", "en-US", "de", "en-US"), ("", "en-US", "en-GB", "en-US"), ("", "en-IE", "en-US", "en-US"),
        # RFC 9110, 12.4.2 and 12.5.4: what is weighed less is liked less, and `*` is every other. RFC 4647, 3.4.
        ("", "en-IE", "fr", "en-GB"), ("", "en-IE,en;q=0.9,de;q=0.8", "fr", "en-GB"),
        ("", "de;q=0.1,en;q=0.2", "fr", "en-GB"), ("", "en,fr;q=0.5", "de", "en-GB"), ("", "nl,*;q=0.5", "fr", "fr"),
        ("", "DE", "fr", "de"), ("", "de;q=0,nl", "fr", "fr"),
        ("?lang=de", "fr", "en-US", "de"),
    ],
)  # fmt: skip
def test_a_slip_is_in_the_language_asked_for_else_the_customers_else_the_shops(
    house, stranger, asked, reads, shop_speaks, answered
):
    shop = new_shop(house)
    say_on_slips(house.context, shop.id, language=shop_speaks)
    order = placed(shop.staff)
    headers = {"Accept": "application/json"} | ({"Accept-Language": reads} if reads else {})
    paths = (order["collection_slip"]["path"], f"/v1/orders/{order['id']}/customer-slip")
    for client, path in zip((stranger, shop.staff), paths, strict=True):
        answer = client.get(f"{path}{asked}", headers=headers)
        said = (answer.body["language"], answer.headers["Content-Language"])
        assert (answered, answered) == said
        words = {"en-GB": "1 pair of trousers", "en-US": "1 pair of pants", "de": "1 Hose", "fr": "1 pantalon"}
        assert [words[answered]] == answer.body["garments"]


def test_what_is_kept_of_one_language_is_not_fresh_in_another(staff, stranger):
    path = placed(staff)["collection_slip"]["path"]
    german, french = ({"Accept": "text/html", "Accept-Language": language} for language in ("de", "fr"))
    first = stranger.get(path, headers=german)
    assert '<html lang="de">' in first.body
    assert 304 == stranger.get(path, headers=german | {"If-None-Match": first.headers["ETag"]}).status
    assert 200 == stranger.get(path, headers=french | {"If-None-Match": first.headers["ETag"]}).status


def test_another_language_than_there_are_is_refused(staff, stranger):
    path = placed(staff)["collection_slip"]["path"]
    assert 422 == stranger.get(f"{path}?lang=tlh").status


def test_a_telephone_is_shown_a_page(staff, stranger, browser):
    order = placed(staff)
    asked = {"Accept": "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"}
    answer = stranger.get(order["collection_slip"]["path"], headers=asked)
    page = browser.new_page()
    page.set_viewport_size({"width": 360, "height": 640})
    # As it is served: with the policy that the answer carries, nothing but its own style is let in.
    page.route("**/*", lambda route: route.fulfill(status=200, headers=dict(answer.headers), body=answer.body))
    page.goto("http://slip.example/")
    assert f"Order {order['number']}" == page.get_by_role("heading").inner_text()
    assert "Tuesday 3 March 2026" == page.locator("time").inner_text()
    assert 360 >= page.evaluate("document.documentElement.scrollWidth")
    assert "rgb(17, 17, 17)" == page.evaluate("getComputedStyle(document.body).color")
    page.close()


def test_what_a_shop_is_called_is_no_markup(house, stranger):
    shop = new_shop(house, name="<script>alert(1)</script> & Sons")
    path = placed(shop.staff)["collection_slip"]["path"]
    body = stranger.get(path, headers={"Accept": "text/html"}).body
    assert "<script>" not in body
    assert "&lt;script&gt;alert(1)&lt;/script&gt; &amp; Sons" in body


def test_it_may_be_kept_for_a_minute_by_the_customer_alone_and_asked_again_whether_it_is_fresh(staff, stranger):
    order = placed(staff)
    path = order["collection_slip"]["path"]
    first = stranger.get(path)
    assert ("private, max-age=60", "Accept, Accept-Language") == (first.headers["Cache-Control"], first.headers["Vary"])
    again = {"If-None-Match": first.headers["ETag"]}
    fresh = stranger.get(path, headers=again)
    assert (304, b"", first.headers["ETag"]) == (fresh.status, fresh.raw, fresh.headers["ETag"])
    moved(staff, order["id"], "accepted", 1)
    moved(staff, order["id"], "in_workroom", 2)
    changed = stranger.get(path, headers=again)
    assert (200, "in the workroom") == (changed.status, changed.body["state_words"])
    assert changed.headers["ETag"] != first.headers["ETag"]
    # Another format of the same is another thing to keep.
    assert 200 == stranger.get(path, headers={"Accept": "text/html", "If-None-Match": changed.headers["ETag"]}).status


def test_it_is_served_in_no_other_format(staff, stranger):
    path = placed(staff)["collection_slip"]["path"]
    assert (406, "not_acceptable", [""]) == stranger.get(path, headers={"Accept": "image/png"}).problem


def test_it_follows_the_order(staff, stranger):
    order = placed(staff)
    moved(staff, order["id"], "accepted", 1)
    assert "accepted" == stranger.get(order["collection_slip"]["path"]).body["state"]


def test_its_token_cannot_be_guessed_from_another(staff):
    tokens = {placed(staff)["collection_slip"]["token"] for _ in range(5)}
    assert 5 == len(tokens)
    assert {32} == {len(token) for token in tokens}


@pytest.mark.parametrize("token", ["A" * 32, "1001", "A" * 15, "A" * 65, "..", "%00" * 16, "é" * 16])
def test_a_token_that_is_none_is_404(stranger, token):
    answer = stranger.get(f"/v1/collection-slips/{token}")
    assert (404, "not_found") == answer.problem[:2]


def test_an_order_cannot_be_seen_by_its_id_as_if_that_were_a_token(staff, stranger):
    assert 404 == stranger.get(f"/v1/collection-slips/{placed(staff)['id']}").status
