import pytest

from service.tailoring import tables
from service.tailoring.body.posture import NOTE_NAMES
from service.tailoring.fitting.causes import Suspect, alteration_of, causes, remedies_on, suspects
from service.tailoring.fitting.fit_points import fit_points, trade_table
from service.tailoring.garments.alterations import catalogue
from service.tailoring.garments.charts import GARMENTS

CAUSES = list(causes().values())
SIGNS = [
    pytest.param(sign, id=f"{sign.cause} {sign.point} {sign.look} {sign.side}") for c in CAUSES for sign in c.signs
]
VERDICTS = {(code, look.name): look.verdict for code, looks in trade_table().looks.items() for look in looks}


@pytest.mark.parametrize("cause", CAUSES, ids=lambda cause: cause.code)
def test_every_cause_has_its_words_its_prior_its_signs_its_remedies_and_its_source(cause):
    assert cause.words
    assert cause.garment in GARMENTS
    assert 0 < cause.prior < 0.5
    assert cause.signs
    assert cause.source
    assert all(row["prior_source"] for row in tables.rows("fitting/causes"))
    assert cause.posture in {"", *NOTE_NAMES}
    for remedy in cause.remedies:
        code = remedy.split()[0].rstrip(":")
        assert code in catalogue() or "_" not in code


@pytest.mark.parametrize("sign", SIGNS)
def test_the_direction_of_a_sign_is_that_of_its_look(sign):
    assert {"too_much": True, "too_little": False}[VERDICTS[sign.point, sign.look]] == sign.too_much
    assert 0 < sign.share < 1
    # A side is said where the cause has one and the point has one.
    has_side = causes()[sign.cause].sided and fit_points()[sign.point].sides != "none"
    assert has_side == bool(sign.side)


def test_whatever_is_not_right_has_a_cause():
    shown = {(sign.point, sign.look) for cause in CAUSES for sign in cause.signs}
    assert set() == {look for look, verdict in VERDICTS.items() if verdict != "right"} - shown


def test_no_sign_is_said_twice():
    said = [(sign.cause, sign.point, sign.look, sign.side) for cause in CAUSES for sign in cause.signs]
    assert len(said) == len(set(said))


def test_a_cause_with_a_side_is_suspected_on_each():
    assert {"left", "right"} == {each.side for each in suspects() if each.cause.code == "low_shoulder"}
    assert [None] == [each.side for each in suspects() if each.cause.code == "stoop"]


def test_a_longer_right_leg_breaks_less_than_the_left():
    longer = Suspect(causes()["longer_leg"], "right")
    assert {} == longer.shares("leg_lengths", "right")
    assert {"breaks_more"} == longer.shares("leg_lengths", "left").keys()
    assert {"no_break"} == longer.shares("trouser_break", "right").keys()


def test_what_is_not_worn_is_not_altered():
    prominent = causes()["prominent_seat"]
    assert "jacket_skirt_out" in remedies_on(prominent, frozenset(GARMENTS))
    on_trousers = remedies_on(prominent, frozenset({"trousers"}))
    assert "trouser_seat_out" in on_trousers
    assert "jacket_skirt_out" not in on_trousers
    # A shirt is always on.
    shirt = causes()["shirt_sleeve_long"]
    assert shirt.remedies == remedies_on(shirt, frozenset({"jacket"}))


def test_a_remedy_is_an_alteration_or_words():
    assert ["trouser_hem", None] == [
        alteration_of("trouser_hem: each leg to its mark"),
        alteration_of("one size larger"),
    ]
