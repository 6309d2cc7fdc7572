import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.tailoring.orders.outcomes import RESULTS, AlteredBy, Outcome, Share, SizeSold, SizeTold, return_reasons
from service.tailoring.quantities import Length
from service.tailoring.refusals import Refusal
from tests.days import MONDAY

SOLD = SizeSold("everyday", "40R")
OTHER = SizeSold("everyday", "42R")
SAID = {
    "kept": {},
    "swapped": {"swapped_to": OTHER},
    "returned": {"reason": "too_tight"},
    "altered": {"alterations": (AlteredBy("jacket_waist_in", Length(25.4, "in")),)},
}


def outcome(result, **more):
    return Outcome("jacket", SOLD, result, MONDAY, **SAID[result] | more)


@pytest.mark.parametrize("result", RESULTS)
def test_a_result_with_its_own_part_is_an_outcome(result):
    assert result == outcome(result).result


@pytest.mark.parametrize("result", ["swapped", "returned", "altered"])
def test_a_result_without_its_own_part_is_none(result):
    (part,) = SAID[result]
    with pytest.raises(Refusal, match="outcome_part_missing") as refused:
        Outcome("jacket", SOLD, result, MONDAY)
    assert (part,) == refused.value.at


@pytest.mark.parametrize(
    ("result", "part"),
    [
        ("kept", {"swapped_to": OTHER}),
        ("kept", {"reason": "too_tight"}),
        ("kept", {"alterations": SAID["altered"]["alterations"]}),
        ("returned", {"swapped_to": OTHER}),
        ("swapped", {"alterations": SAID["altered"]["alterations"]}),
        ("altered", {"reason": "too_long"}),
    ],
)
def test_a_result_does_not_take_anothers_part(result, part):
    with pytest.raises(Refusal, match="outcome_part_not_taken"):
        outcome(result, **part)


def test_a_swap_says_why_where_that_is_known():
    assert "too_short" == outcome("swapped", reason="too_short", place="sleeve").reason


def test_a_garment_is_not_swapped_for_the_same_size():
    with pytest.raises(Refusal, match="outcome_same_size"):
        outcome("swapped", swapped_to=SOLD)


def test_a_reason_is_one_of_the_tables():
    assert {"too_tight", "not_said"} <= set(return_reasons())
    with pytest.raises(Refusal, match="reason_unknown"):
        outcome("returned", reason="rain")


def test_a_place_is_one_of_the_garments_and_belongs_to_a_reason():
    assert "chest" == outcome("returned", place="chest").place
    with pytest.raises(Refusal, match="place_unknown"):
        outcome("returned", place="inside_leg")
    with pytest.raises(Refusal, match="outcome_part_missing"):
        outcome("kept", place="chest")


@pytest.mark.parametrize(("code", "refusal"), [("nothing", "alteration_unknown"), ("trouser_hem", "altered_elsewhere")])
def test_what_altered_a_garment_is_an_alteration_of_that_garment(code, refusal):
    with pytest.raises(Refusal, match=refusal) as refused:
        outcome("altered", alterations=(*SAID["altered"]["alterations"], AlteredBy(code)))
    assert ("alterations", 1, "alteration") == refused.value.at


# Wilson's intervals as published calculators give them, to four places.
@pytest.mark.parametrize(
    ("count", "of", "low", "high"),
    [(0, 10, 0.0, 0.2775), (5, 10, 0.2366, 0.7634), (9, 10, 0.5958, 0.9821), (81, 263, 0.2553, 0.3662)],
)
def test_a_share_has_wilsons_interval(count, of, low, high):
    found = Share(count, of).interval
    assert (low, high) == (round(found[0], 4), round(found[1], 4))


def test_a_share_of_nothing_is_none():
    assert (None, None) == (Share(0, 0).share, Share(0, 0).interval)


@given(st.integers(1, 10_000).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of))))
def test_the_interval_holds_the_share_and_stays_a_share(counted):
    share = Share(*counted)
    low, high = share.interval
    assert 0 <= low <= share.share + 1e-12
    assert share.share - 1e-12 <= high <= 1


@given(st.integers(20, 80))
def test_four_times_as_many_reports_halve_the_interval(kept):
    few, many = (Share(kept * times, 100 * times).interval for times in (1, 4))
    assert many[1] - many[0] < few[1] - few[0]
    assert math.isclose(0.5, (many[1] - many[0]) / (few[1] - few[0]), abs_tol=0.02)


def test_what_is_kept_is_counted_of_all_reports():
    assert Share(6, 10) == SizeTold("jacket", SOLD, {"kept": 6, "swapped": 1, "returned": 2, "altered": 1}).kept
