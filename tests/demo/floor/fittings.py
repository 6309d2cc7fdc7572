"""A first fitting on a tablet, tap by tap."""

from playwright.sync_api import expect

from tests.http.sheets import inches

HEMS = [{"pins": {"left": inches("31"), "right": inches("31")}}]


def order_of(site, number):
    [found] = site.shop.staff.get("/v1/orders", query=f"number={number}").body["orders"]
    return site.shop.staff.get(f"/v1/orders/{found['id']}").body


def placed_by_a_till(site, key):
    """An order of trousers; as one of its own for each key."""
    sale = f"sale-{abs(hash(key)) % 10**6}"
    garments = [{"garment": "trousers", "chart": "everyday", "label": "33", "pins_left_in": 2, "cloth": "navy"}]
    sheet = {"garments": garments, "hems": HEMS, "by": "fitter-2", "customer_ref": f"of {sale}", "sale_ref": sale}
    return site.shop.staff.post("/v1/orders", sheet, headers={"Idempotency-Key": key}).body


def measure(tablet):
    """Chest and trouser waist twice, seat and height once: eighths, centimetres, and the inside leg by themselves."""
    tablet.tap("4", "0", "@chest_girth again", "4", "0", "@trouser_waist_girth value")
    tablet.tap("3", "2", "4 eighths", "@trouser_waist_girth again", "3", "2", "4 eighths", "@hip_girth value")
    tablet.tap("3", "8", "4 eighths", "@next", "1", "7", "8")


def look(tablet):
    """Right where it is right; spare cloth in front, the left cuff too long."""
    tablet.tap("@point front_closure null", *["@more"] * 6)
    tablet.tap("@point lapel left", "@right", "@point collar_gap null", "@right")
    tablet.tap("@point jacket_cuff left", *["@more"] * 6, "@point jacket_cuff right", "@right")


def pin(tablet):
    tablet.tap("3", "1", "4 eighths", "Right as left", "@leg right", "2 eighths", "@Cloth, quickly grey flannel")
    tablet.tap("@Pins left in the jacket more", *["@Pins left in the trousers more"] * 2)


def until_sheet(tablet):
    """From the tape to the sheet, which may then be held."""
    measure(tablet)
    tablet.tap("@step advice", "Bring jacket 40R, trousers 33")
    look(tablet)
    expect(tablet.page.locator(".decision")).to_have_text("Alter it")
    tablet.tap("@step pins")
    pin(tablet)
    tablet.tap("The sheet")
    expect(tablet.find("@hold")).to_be_enabled()


def hold(tablet):
    tablet.tap("@hold", hold_ms=900)


def fitting(tablet):
    """A first fitting, from the tape to the placed order; its number."""
    until_sheet(tablet)
    hold(tablet)
    return placed_number(tablet)


def placed_number(tablet):
    return tablet.page.locator(".placed h2").inner_text().removeprefix("Order ")


def find_at_counter(tablet, words):
    """By what is typed where slips are scanned."""
    tablet.page.get_by_label("Slip, number, customer or sale").fill(words)
    tablet.page.keyboard.press("Enter")


def close_order(tablet):
    tablet.tap("@close order")
    expect(tablet.page.locator("order-sheet")).to_have_count(0)


def go_on(site, order, *moves):
    for to, facts in moves:
        tag = site.shop.staff.get(f"/v1/orders/{order['id']}").headers["ETag"]
        body = {"to": to, "by": "tailor-1", **facts}
        assert 200 == site.shop.staff.post(f"/v1/orders/{order['id']}/moves", body, headers={"If-Match": tag}).status


READY = [("accepted", {}), ("in_workroom", {}), ("sewn", {}), ("pressed", {"pins_out": 2}), ("ready", {"pins_out": 2})]


def at_the_counter(tablet, who="fitter-1"):
    tablet.sign_in(who)
    tablet.tap(tablet.page.get_by_role("link", name="Counter"))
    expect(tablet.page.get_by_label("Slip, number, customer or sale")).to_be_visible()
