import pytest

from tests.http.sheets import named


def finished(staff, **garment):
    answer = staff.post("/v1/finishing-plans", {"garments": [{"garment": "trousers"} | garment]})
    assert 200 == answer.status, answer.body
    return answer.body["garments"][0]


def fibres(**shares):
    return [{"fibre": fibre.replace("_", " "), "share": share} for fibre, share in shares.items()]


def test_the_most_delicate_fibre_decides_however_small_its_share(staff):
    heat = finished(staff, fibres=fibres(cotton=95, acetate_or_nylon=5))["heat"]
    assert (["acetate or nylon", "cotton"], 110, "one dot", "none") == (
        heat["fibres"], heat["most_c"], heat["dots"], heat["steam"],
    )  # fmt: skip


def test_a_cloth_is_known_by_an_orders_words_for_it_too(staff):
    heat = finished(staff, cloth="navy wool flannel, 2% elastane")["heat"]
    assert (["elastane", "wool"], 150, "light") == (heat["fibres"], heat["most_c"], heat["steam"])


def test_without_a_fibre_no_heat_is_guessed_and_the_care_label_stands(staff):
    body = staff.post("/v1/finishing-plans", {"garments": [{"garment": "jacket", "cloth": "navy"}]}).body
    assert None is body["garments"][0]["heat"]
    assert any("care label" in each for each in body["cautions"])
    (warning,) = body["warnings"]
    assert ("fibre_not_known", "/garments/0") == (warning["code"], warning["pointer"])
    assert {"most_c": 110} == warning["facts"]
    assert "at most 110 °C, one dot, without steam" in warning["text"]


@pytest.mark.parametrize("more", [{}, {"fibres": fibres(cotton=100)}, {"fused": True}])
def test_a_share_of_a_fibre_that_nobody_knows_leaves_the_cloth_unknown(staff, more):
    assert None is finished(staff, cloth="70% wool 30% chlorofibre", **more)["heat"]


def test_a_jackets_fronts_are_taken_for_fused_unless_it_is_said(staff):
    heats = [finished(staff, garment="jacket", cloth="linen", **said)["heat"] for said in ({}, {"fused": False})]
    assert [150, 200] == [heat["most_c"] for heat in heats]
    assert 200 == finished(staff, cloth="linen")["heat"]["most_c"]


def test_the_cautions_name_iron_steam_blades_and_pins_and_defer_to_label_maker_and_local_rules(staff):
    body = staff.post("/v1/finishing-plans", {"garments": [{"garment": "trousers", "cloth": "wool"}]}).body
    assert [] == body["warnings"]
    for words in ("Iron and steam burn", "Blades cut", "pins out", "care label", "iron's maker", "Local safety rules"):
        assert words in " ".join(body["cautions"])


def test_a_jackets_fused_fronts_and_its_lining_have_their_own_heat(staff):
    jacket = finished(staff, garment="jacket", fibres=fibres(cotton=100), fused=True, lining="acetate or nylon")
    assert (150, 110) == (jacket["heat"]["most_c"], jacket["lining"]["most_c"])
    assert any("bubbles" in each for each in jacket["heat"]["cautions"])
    assert [] == jacket["creases"]


def test_steps_come_in_order_with_their_seconds(staff):
    steps = finished(staff)["steps"]
    assert ("pockets empty, brushed, pins and bastings out", [30, 60], "pair") == (
        steps[0]["words"], steps[0]["seconds"], steps[0]["per"],
    )  # fmt: skip
    assert ([600, 1800], "pair") == (steps[-1]["seconds"], steps[-1]["per"])


def test_a_flat_front_is_creased_to_six_inches_which_are_fifteen_centimetres(staff):
    (flat,) = (words for words in finished(staff, pleats=0)["creases"] if "flat" in words)
    assert "about 6 in / 15 cm (152 mm) below the band" in flat
    assert "never above the seat" in flat
    for pleats, stop in ((0, 152.4), (1, None), (2, None)):
        below = finished(staff, pleats=pleats)["crease_below_band"]
        assert stop == (below and below["mm"])
    assert None is finished(staff, pleats=0, casual=True)["crease_below_band"]


@pytest.mark.parametrize("pleats", [1, 2])
def test_a_pleated_front_is_creased_into_the_first_pleat(staff, pleats):
    creases = finished(staff, pleats=pleats)["creases"]
    assert any("runs into the first pleat" in words for words in creases)
    assert not any("flat front" in words for words in creases)


def test_casual_trousers_are_creased_only_if_asked(staff):
    (only,) = finished(staff, casual=True)["creases"]
    assert "only if one is asked for" in only


def test_dark_wool_is_pressed_through_damp_linen_and_hangs_before_wear(staff):
    rules = finished(staff, fibres=fibres(wool=100), dark=True)["rules"]
    assert any("damp linen cloth" in each for each in rules)
    assert any("2 to 4 hours before it is worn; overnight" in each for each in rules)
    assert any("never slide" in each for each in rules)
    assert not any("linen" in each for each in finished(staff, fibres=fibres(wool=100))["rules"])


@pytest.mark.parametrize(
    ("garment", "problem"),
    [
        ({"fibres": fibres(wool=60) * 2}, ("fibre_repeated", ["/garments/0/fibres/1/fibre"])),
        ({"fibres": fibres(wool=60, cotton=30)}, ("shares_wrong", ["/garments/0/fibres"])),
        ({"fibres": fibres(wool=60, cotton=60)}, ("shares_wrong", ["/garments/0/fibres"])),
        ({"fibres": fibres(asbestos=60)}, ("field_wrong", ["/garments/0/fibres/0/fibre"])),
        ({"fibres": fibres(wool=0)}, ("field_wrong", ["/garments/0/fibres/0/share"])),
        ({"garment": "hat"}, ("field_wrong", ["/garments/0/garment"])),
        ({"pleats": 9}, ("field_wrong", ["/garments/0/pleats"])),
    ],
    ids=named,
)
def test_what_cannot_be_pressed_is_refused_where_it_stands(staff, garment, problem):
    answer = staff.post("/v1/finishing-plans", {"garments": [{"garment": "trousers"} | garment]})
    assert (422, *problem) == answer.problem
