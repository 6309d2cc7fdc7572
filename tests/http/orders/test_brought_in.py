"""A garment that was bought elsewhere: measured on the piece, with pictures, and without a chart."""

import pytest

from tests.http.sheets import HEMMED, WAIST_IN, inches, order, placed

TROUSERS = {
    "garment": "trousers",
    "hemmed": True,
    "cloth": "grey flannel",
    "faults_seen": "shine at the seat",
    "must_keep": "the watch pocket",
    "measures_on_piece": [{"place": "waist", "size": inches("34 1/2")}],
    "photos": ["https://pictures.example/7/seat.jpg", "shelf-7/seat"],
}


def test_a_finished_measure_follows_from_what_was_measured_on_the_piece(staff):
    made = placed(staff, garments=[TROUSERS], lines=[WAIST_IN], hems=[])
    piece, line = made["garments"][0], made["lines"][0]
    assert ("33 1/2 in", None, True) == (line["target"]["text"], piece["chart"], piece["brought_in"])
    assert [("waist", "34 1/2 in")] == [(each["place"], each["size"]["text"]) for each in piece["measures_on_piece"]]
    assert TROUSERS["photos"] == piece["photos"]
    read = staff.get(f"/v1/orders/{made['id']}").body
    assert made["garments"] == read["garments"]


def test_a_finished_measure_that_the_change_cannot_give_is_refused(staff):
    wrong = WAIST_IN | {"target": inches(30)}
    answer = staff.post("/v1/orders", order(garments=[TROUSERS], lines=[wrong], hems=[]), key="k")
    assert (422, "target_wrong", ["/lines/0/target"]) == answer.problem


@pytest.mark.parametrize("photo", ["http://pictures.example/1.jpg", "javascript:alert(1) ", "", "a b", "x" * 301])
def test_a_picture_is_an_https_address_or_a_reference(staff, photo):
    asked = order(garments=[TROUSERS | {"photos": [photo]}], lines=[WAIST_IN], hems=[])
    answer = staff.post("/v1/orders", asked, key="k")
    assert (422, "/garments/0/photos/0") == (answer.status, answer.body["errors"][0]["pointer"])


def test_a_place_that_the_garment_has_not_is_refused(staff):
    asked = order(garments=[TROUSERS | {"measures_on_piece": [{"place": "elbow", "size": inches(9)}]}], hems=[])
    assert 422 == staff.post("/v1/orders", asked, key="k").status


def test_whoever_erases_a_customer_erases_where_their_pictures_are(staff):
    made = placed(staff, garments=[TROUSERS], lines=[WAIST_IN], hems=[], customer_ref="C-44")
    assert 200 == staff.ask("DELETE", "/v1/customers/C-44").status
    (piece,) = staff.get(f"/v1/orders/{made['id']}").body["garments"]
    assert [] == piece["photos"]
    assert made["garments"][0]["measures_on_piece"] == piece["measures_on_piece"]


def test_the_ticket_says_what_was_measured_on_the_piece_and_that_there_are_pictures(staff):
    made = placed(staff, garments=[TROUSERS], lines=[WAIST_IN], hems=[])
    ticket = " ".join(staff.get(f"/v1/orders/{made['id']}/ticket").body.split())
    assert "measured waist 34 1/2 in / 876 mm pictures 2 with the order" in ticket
    assert "TO 33 1/2 in / 851 mm" in ticket


@pytest.mark.parametrize(
    ("piece", "is_said"),
    [
        (TROUSERS, True),
        (TROUSERS | {"brought_in": False}, False),
        (HEMMED, False),
        # Of a make that the shop sells too.
        (HEMMED | {"brought_in": True}, True),
    ],
)
def test_the_ticket_says_what_its_order_says_of_where_a_piece_is_from(staff, piece, is_said):
    made = placed(staff, garments=[piece], lines=[WAIST_IN], hems=[])
    assert made["garments"][0]["brought_in"] == is_said
    ticket = " ".join(staff.get(f"/v1/orders/{made['id']}/ticket").body.split())
    assert ("brought in bought elsewhere" in ticket) == is_said
