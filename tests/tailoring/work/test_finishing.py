import re

import pytest

from service.tailoring import tables
from service.tailoring.garments.alterations import ALTERED
from service.tailoring.work.finishing import (
    PILE_WITHOUT_STEAM,
    careful_heat,
    finishing_rules,
    heat_of,
    is_casual,
    kind_of,
    pressing_steps,
)

# ISO 3758:2012: the dots of an iron and the hottest sole that each stands for.
DOTS_C = {"one dot": 110, "two dots": 150, "three dots": 200}


def test_every_fibre_keeps_to_the_degrees_of_its_dots():
    rows = tables.rows("work/pressing_heat")
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
    velvet = heat_of("velvet of cotton")
    assert (110, "steam only, the iron never touches it") == (velvet.most_c, velvet.steam)


def test_a_pile_of_a_fibre_that_bears_no_steam_is_brushed():
    for fibre in ("acetate", "silk"):
        velvet = heat_of(f"velvet of cotton and {fibre}")
        assert (110, PILE_WITHOUT_STEAM) == (velvet.most_c, velvet.steam)


def test_a_share_of_a_fibre_that_is_not_known_leaves_the_cloth_unknown():
    assert 150 == heat_of("55% wool 45% polyester").most_c == heat_of("navy, wool 55 %, polyester 45 %").most_c
    assert heat_of("70% wool 30% chlorofibre") is None
    assert heat_of("wool 70%, chlorofibre 30%") is None


def test_where_nothing_is_known_the_heat_is_the_lowest_of_all_and_dry():
    lowest = min(int(row["most_c"]) for row in tables.rows("work/pressing_heat"))
    assert (lowest, "one dot", "none") == (careful_heat().most_c, careful_heat().dots, careful_heat().steam)


@pytest.mark.parametrize(
    ("cloth", "kind"),
    [
        ("navy worsted", "usual"),
        ("silk", "dry"),
        ("wool and silk", "dry"),
        ("black velvet", "pile"),
        ("cotton corduroy", "pile"),
        ("velveteen", "pile"),
        ("velvet of silk", "dry_pile"),
        ("50 % velvet 50 % moonlight", "pile"),
        ("navy", "usual"),
    ],
)
def test_what_a_cloth_bears_is_told_by_its_fibres(cloth, kind):
    assert kind == kind_of(cloth)


@pytest.mark.parametrize("garment", ["trousers", "jacket", "waistcoat"])
def test_pile_is_never_clapped_nor_touched_by_the_iron(garment):
    steps = [f"{step.words} {step.note}" for step in pressing_steps(garment, "pile")]
    assert not any(re.search("clap|board, then|ham$|press cloth", step) for step in steps)
    steamed = [step for step in steps if "steamed" in step]
    assert steamed
    assert all("held clear of the pile" in step for step in steamed)
    rules = finishing_rules(garment, heat_of("velvet"), "pile", creased=False, dark=True)
    assert not any(re.search("clap|plain wood|press cloth|press:", rule) for rule in rules)
    # Between wanting steam and bearing none it is brushed, and no more.
    brushed = [f"{step.words} {step.note}" for step in pressing_steps(garment, "dry_pile")]
    assert not any(re.search("clap|steamed|in steam|press cloth", step) for step in brushed)
    assert any("brushed" in step for step in brushed)


@pytest.mark.parametrize("garment", ["trousers", "jacket", "waistcoat"])
def test_what_bears_no_steam_is_pressed_without(garment):
    steps = [f"{step.words} {step.note}" for step in pressing_steps(garment, "dry")]
    assert not any("steam" in step for step in steps)
    assert any("dry, through a press cloth" in step for step in steps)
    rules = finishing_rules(garment, heat_of("silk"), "dry", creased=True, dark=False)
    assert not any("knock the steam out" in rule for rule in rules)


@pytest.mark.parametrize("words", ["beige cotton chino", "Denim", "corduroy", "navy wool, casual"])
def test_casual_trousers_are_told_by_their_words(words):
    assert is_casual(words)
    assert not is_casual("navy worsted, flat front")


def test_trousers_without_a_crease_have_no_step_for_one():
    creased, plain = pressing_steps("trousers"), pressing_steps("trousers", creased=False)
    assert ["crease from the hem up: steam, then clapper"] == [step.words for step in creased if step not in plain]


@pytest.mark.parametrize("cloth", ["", "navy", "super 120’s", "silky", "羊毛", "woollens"])
def test_a_cloth_that_names_no_fibre_is_not_guessed_at(cloth):
    assert heat_of(cloth) is None


def test_a_garment_is_pressed_in_the_order_of_its_steps():
    assert [8, 9, 2, 0] == [len(pressing_steps(garment)) for garment in ("trousers", "jacket", "waistcoat", "shirt")]
    assert "pins and bastings out" in pressing_steps("trousers")[0].words
    assert {row["garment"] for row in tables.rows("work/pressing_steps")} <= set(ALTERED)


@pytest.mark.parametrize(
    ("garment", "seconds"),
    [
        # Common practice, no source; the waistcoat's rest is that of a jacket.
        ("trousers", [(30, 60), (8, 12), (60, 120), (20, 40), (40, 80), (40, 80), (10, 20), (600, 1800)]),
        (
            "jacket",
            [(90, 180), (60, 120), (120, 180), (120, 180), (60, 90), (60, 120), (60, 90), (30, 60), (900, 3600)],
        ),
        ("waistcoat", [(120, 240), (900, 3600)]),
    ],
)
def test_every_step_says_how_long_it_takes(garment, seconds):
    assert seconds == [step.seconds for step in pressing_steps(garment)]
    assert re.search("hung|rest", pressing_steps(garment)[-1].words)
