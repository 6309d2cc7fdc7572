"""The book of fittings: what a fitter decides, marks and writes, case by case, held against what the service answers.

Each case is written from the trade's rules and its source, never from an answer.
"""

from collections import Counter

import pytest

from service.tailoring.refusals import Refusal
from tests.tailoring.fitting.book_of_fittings import (
    KNOWN,
    NOT_YET,
    cases,
    found_in,
    mirrored,
    pages,
    turned,
    wrong_in,
)

WAITING = pages()[NOT_YET]["waiting"]


def marked(case):
    """A case that is known to fail is expected to: once it passes it is taken off the list."""
    why = WAITING.get(case.name)
    fails = pytest.mark.xfail(reason=why, raises=(AssertionError, Refusal), strict=True)
    return pytest.param(case, id=case.name, marks=[fails] if why else [])


@pytest.mark.parametrize("case", [marked(case) for case in cases()])
def test_the_service_decides_as_the_fitter_does(case):
    wrong = wrong_in(case, found_in(case))
    assert not wrong, f"{case.name}: " + "; ".join(wrong)


MIRRORED = [(case, mirrored(case)) for case in cases() if mirrored(case) and case.name not in WAITING]


@pytest.mark.parametrize(("case", "other"), MIRRORED, ids=[case.name for case, _ in MIRRORED])
def test_a_customer_in_a_mirror_has_the_mirrored_answer(case, other):
    found, turned_round = found_in(case), found_in(other)
    assert (found.decision, found.sizes, found.left) == (
        turned_round.decision, turned_round.sizes, turned_round.left
    )  # fmt: skip
    assert turned(found.lines) == {str(line) for line in turned_round.lines}


def test_every_case_has_a_name_of_its_own_a_source_and_something_that_it_wants():
    names = Counter(case.name for case in cases())
    assert {1} == set(names.values())
    for case in cases():
        assert set(case.written) <= KNOWN, case.name
        assert case.source, case.name
        assert set(case.written) & {"decision", "brings", "serves", "lines", "ordered"}, case.name


def test_what_is_waited_for_is_a_case_of_the_book():
    assert set(WAITING) <= {case.name for case in cases()}
    assert all(WAITING.values())
