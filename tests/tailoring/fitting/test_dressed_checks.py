"""What is seen over what was worn: it moves what is right, and neither the customer nor the tape."""

import pytest

from service.tailoring.fitting.evidence import Worn
from service.tailoring.fitting.fit_checks import check_fit
from service.tailoring.fitting.sightings import Sighting
from service.tailoring.hems.dressed import AS_USUAL, Dressed
from service.tailoring.quantities import inches
from tests.tailoring.fitting.worn_suits import ASKED, HEMMED, TROUSERS, man

BRACES = Dressed(held_up_by="belt", to_be_held_up_by="braces")


def waist_seen(spare_in, dressed):
    seen = Sighting("trouser_waist", amount_mm=inches(spare_in))
    return check_fit(man(), ASKED, Worn(HEMMED, TROUSERS), (seen,), dressed=dressed)


@pytest.mark.parametrize("spare_in", [0, 0.5, 1, 1.5])
def test_a_customer_is_no_larger_on_braces(spare_in):
    as_usual, on_braces = (waist_seen(spare_in, dressed).body.belief for dressed in (AS_USUAL, BRACES))
    assert as_usual.median("trouser_waist_girth") == pytest.approx(on_braces.median("trouser_waist_girth"))


def test_a_tape_that_was_right_stays_so_on_braces():
    # The suit of this man has 1/2 in to spare by his tape, whatever will hold it up (arithmetic).
    on_braces = waist_seen(0.5, BRACES)
    assert () == on_braces.look_again
    # 1/2 in more is right on braces (dressed_shifts.csv: common practice, no source).
    lines = [(each.code, each.amount.length.text) for each in on_braces.keeping.alterations if each.seen]
    assert [("trouser_waist_out", "1/2 in")] == lines
    (against,) = waist_seen(1.75, BRACES).look_again
    assert ("taped", pytest.approx(inches(0.5), abs=1)) == (against.other, against.other_mm)
