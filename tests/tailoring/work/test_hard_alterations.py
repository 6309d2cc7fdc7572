import pytest

from service.tailoring import tables
from service.tailoring.garments.alterations import catalogue
from service.tailoring.work.hard_alterations import hard_among, is_hard, too_many_hard

COLLARS = ("jacket_collar_lower", "jacket_collar_shorten")


def test_difficulty_four_and_five_are_hard():
    # derived here: the catalogue's shoulders, collars, body lengths and reset sleeves
    assert {4, 5} == {each.difficulty for each in catalogue().values() if is_hard(each.code)}
    assert {1, 2, 3} == {each.difficulty for each in catalogue().values() if not is_hard(each.code)}


def test_left_and_right_are_one_alteration():
    assert ("jacket_collar_lower", "jacket_sleeve_pitch") == hard_among(
        ["jacket_sleeve_pitch", "jacket_waist_in", "jacket_sleeve_pitch", "jacket_collar_lower"]
    )


@pytest.mark.parametrize(
    ("codes", "warned"),
    [
        (COLLARS, False),
        ((*COLLARS, "jacket_waist_in", "jacket_button_move"), False),
        ((*COLLARS, "jacket_sleeve_pitch"), True),
        ((*COLLARS, "jacket_sleeve_pitch", "jacket_body_shorten"), True),
    ],
)
def test_three_hard_alterations_on_one_garment_offer_another_size_first(codes, warned):
    # common practice, no source
    notice = too_many_hard("jacket", codes, ("from_fit_check",))
    assert warned == (notice is not None)
    if notice:
        assert ("many_hard_alterations", ("from_fit_check",)) == (notice.code, notice.at)
        assert "another size" in notice.text


def test_the_figures_have_their_sources():
    figures = tables.document("work/hard_alterations")
    assert figures["hard_source"]
    assert figures["too_many_source"]
