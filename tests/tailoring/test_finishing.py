import pytest

from service.tailoring import tables
from service.tailoring.alterations import ALTERED
from service.tailoring.finishing import creases_of, heat_of, pressing_steps

# ISO 3758:2012: the dots of an iron and the hottest sole that each stands for.
DOTS_C = {"one dot": 110, "two dots": 150, "three dots": 200}


def test_every_fibre_keeps_to_the_degrees_of_its_dots():
    rows = tables.rows("pressing_heat")
    assert [DOTS_C[row["dots"]] for row in rows] == [int(row["most_c"]) for row in rows]
    delicacy = [int(row["delicacy"]) for row in rows]
    assert sorted(set(delicacy)) == delicacy


@pytest.mark.parametrize(
    ("cloth", "most_c", "fibre"),
    [
        ("navy worsted", 150, "wool"),
        ("Grey FLANNEL, 12 oz", 150, "wool"),
        ("cotton chino", 200, "cotton"),
        ("linen", 200, "linen"),
        ("silk", 110, "silk"),
    ],
)
def test_a_cloth_bears_what_its_fibre_bears(cloth, most_c, fibre):
    heat = heat_of(cloth)
    assert (most_c, fibre) == (heat.most_c, heat.fibres[0])


def test_in_a_blend_the_most_delicate_fibre_decides():
    heat = heat_of("wool, silk and linen")
    assert (110, "one dot", ("silk", "wool", "linen")) == (heat.most_c, heat.dots, heat.fibres)
    assert "none, it spots" == heat.steam
    # What the others ask for is still said.
    assert any("shines" in caution for caution in heat.cautions)
    velvet = heat_of("velvet of cotton and acetate")
    assert (110, "steam only, the iron never touches it") == (velvet.most_c, velvet.steam)


@pytest.mark.parametrize("cloth", ["", "navy", "super 120’s", "silky", "羊毛", "woollens"])
def test_a_cloth_that_names_no_fibre_is_not_guessed_at(cloth):
    assert heat_of(cloth) is None


def test_the_crease_follows_the_front_the_pattern_and_the_turn_up():
    flat = creases_of("flat front", "plain", turn_up=False)
    assert any("about 6 in / 152 mm below the band" in words for words in flat)
    assert not any("pleat" in words for words in flat)
    pleated = creases_of("two pleats", "check", turn_up=True)
    assert any("runs into the first pleat" in words for words in pleated)
    assert not any("flat front" in words for words in pleated)
    assert {"crease on a line of the pattern", "press the turn-up first, the crease through it"} < set(pleated)


def test_both_fronts_are_said_where_the_order_says_none():
    both = creases_of("", "plain", turn_up=False)
    assert 3 == len(both)
    assert "never slide" in both[-1]


def test_a_garment_is_pressed_in_the_order_of_its_steps():
    assert [8, 9, 1, 0] == [len(pressing_steps(garment)) for garment in ("trousers", "jacket", "waistcoat", "shirt")]
    assert "pins and bastings out" in pressing_steps("trousers")[0].words
    assert {row["garment"] for row in tables.rows("pressing_steps")} <= set(ALTERED)
