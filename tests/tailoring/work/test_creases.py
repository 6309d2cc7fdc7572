import re

import pytest

from service.tailoring import tables
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.work.creases import Front, crease_stop, creases, front_of

ONLY_IF_ASKED = "casual cotton trousers: a crease only if one is asked for"


def of(style="", cloth="navy worsted", *, turn_up=False, **make):
    return creases(front_of(GarmentPiece(1, "trousers", style=style, cloth=cloth, **make), turn_up=turn_up))


def test_the_crease_follows_the_front_the_pattern_and_the_turn_up():
    flat = of("flat front")
    assert any("about 6 in / 15 cm (152 mm) below the band" in words for words in flat)
    assert not any("pleat" in words for words in flat)
    pleated = of("two pleats", pattern="check", turn_up=True)
    assert any("runs into the first pleat" in words for words in pleated)
    assert not any("flat front" in words for words in pleated)
    assert {"crease on a line of the pattern", "press the turn-up first, the crease through it"} < set(pleated)


def test_pleats_that_were_counted_count_before_words_of_the_style():
    assert of("flat front") == of("pleated", pleats=0)
    assert of("pleated") == of("flat front", pleats=2)


def test_of_a_front_that_is_not_written_no_rule_of_the_two_is_given():
    # The bench would take the one that it reads first.
    said = " ".join(of(""))
    assert not re.search("into the first pleat|6 in / 15 cm", said)
    assert "see whether it is flat or pleated" in said


@pytest.mark.parametrize("cloth", ["beige cotton chino", "blue denim"])
def test_casual_cotton_gets_no_crease_unless_asked(cloth):
    assert (ONLY_IF_ASKED,) == of("flat front", cloth)
    assert any("6 in / 15 cm" in words for words in of("flat front", cloth, crease=True))


def test_a_crease_that_is_not_wanted_is_not_pressed():
    assert ("no crease: none is wanted",) == of("flat front", crease=False)


@pytest.mark.parametrize("crease", [None, True])
def test_no_crease_is_pressed_into_pile(crease):
    assert ("no crease is pressed into pile: it stays crushed",) == of("flat front", "black velvet", crease=crease)
    assert crease_stop(Front(pleats=0, pile=True, wanted=crease)) is None


def test_six_inches_are_fifteen_centimetres_in_the_words_as_in_the_figure():
    stop = crease_stop(Front(pleats=0))
    (words,) = [row["words"] for row in tables.rows("work/creases") if row["below_band_in"]]
    inch, cm, mm = (int(number) for number in re.findall(r"([0-9]+) (?:in|cm|mm)", words))
    assert (6, 15, 152) == (inch, cm, mm)
    assert (inch, cm, mm) == (round(stop.mm / 25.4), round(stop.mm / 10), round(stop.mm))


def test_every_rule_for_a_crease_has_its_source():
    assert all(row["source"] for row in tables.rows("work/creases"))
