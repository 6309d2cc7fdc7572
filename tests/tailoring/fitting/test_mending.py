"""What is sewn where the two sides of a place want different work, and what is said of each line."""

from service.tailoring.fitting.sightings import Sighting
from service.tailoring.quantities import inches
from tests.tailoring.fitting.worn_suits import JACKET, TROUSERS, checked, man

SHORTEN, LENGTHEN = "jacket_sleeve_shorten_at_cuff", "jacket_sleeve_lengthen_at_cuff"


def sewn(answer):
    """What keeping it takes, by alteration and side: whether it was seen, and the amount in eighths of an inch."""
    return {
        (each.code, each.amount.side): (each.seen, round(each.amount.length.mm / inches(1 / 8)))
        for each in answer.keeping.alterations
        if each.amount
    }


def seen(point, eighths, side):
    return Sighting(point, amount_mm=inches(eighths / 8), side=side)


def test_one_sleeve_is_taken_up_and_the_other_let_down_where_both_were_seen():
    answer = checked(man(), seen("jacket_cuff", 6, "left"), seen("jacket_cuff", -4, "right"), worn=JACKET)
    assert {(SHORTEN, "left"): (True, 6), (LENGTHEN, "right"): (True, 4)} == sewn(answer)
    assert ((), ()) == (answer.to_look_at, answer.left_to_fitter)


def test_more_than_an_alteration_takes_is_left_with_its_limit_and_not_for_want_of_an_amount():
    # A collar that stands off by more than 1/2 in is swapped or given to the coat maker (common practice, no source).
    within, beyond = (checked(man(), Sighting("collar_gap", amount_mm=inches(off)), worn=JACKET) for off in (0.5, 0.75))
    assert ("alter", ()) == (within.decision, within.left_to_fitter)
    (left,) = beyond.left_to_fitter
    assert ("undecided", "collar_gap") == (beyond.decision, left.point)
    assert "more than the 1/2 in that can be altered: another size or cut, or the coat maker" in left.why


def test_what_no_chart_measures_is_checked_first_on_the_size_that_is_brought_for_something_else():
    # The seat of a 36 in a 34: another size is brought, and nobody knows whether its rise is longer.
    short = Sighting("trouser_rise", amount_mm=-inches(1))
    tight = Sighting("trouser_seat", "smiles_under_seat")
    swapped = checked(man(trousers="36"), short, tight, worn=TROUSERS)
    assert "swap" == swapped.decision
    (left,) = swapped.left_to_fitter
    assert ("trouser_rise", True) == (left.point, "check it there first" in left.why)
    # What a chart measures is known to be cured.
    assert () == checked(man(trousers="36"), tight, worn=TROUSERS).left_to_fitter


def test_a_sleeve_that_only_the_tape_tells_of_is_looked_at_though_the_other_was_seen_and_is_worse():
    # A 40L's arms were taped in a 40R, and the left cuff alone was seen, well past the wrist.
    answer = checked(man(jacket="40L"), seen("jacket_cuff", 12, "left"), worn=JACKET)
    lines = sewn(answer)
    assert (True, 12) == lines[SHORTEN, "left"]
    assert False is lines[LENGTHEN, "right"][0]
    assert [("sleeve", LENGTHEN, "right")] == [
        (each.place, each.alteration, each.amount.side) for each in answer.to_look_at if each.place == "sleeve"
    ]


def test_what_was_read_is_said_of_the_side_that_is_less_amiss_too():
    # A thigh has 1 3/4 in of cloth to spare: one is 2 in under that, the other 3 3/4 in over it.
    answer = checked(man(), seen("trouser_thigh", -2, "left"), seen("trouser_thigh", 44, "right"), worn=TROUSERS)
    lines = [each for each in answer.keeping.alterations if each.place == "thigh"]
    assert {
        "left": "1/4 in short, and the 1 3/4 in that is right: 2 in: 1/2 in a leg, as far as it goes",
        "right": "5 1/2 in spare, less the 1 3/4 in that is right: 3 3/4 in: 1 1/2 in a leg, as far as it goes",
    } == {each.amount.side: each.arithmetic for each in lines}
