"""What more of the same may do: a larger amount never less work, a point that is right no work at all."""

import pytest

from service.tailoring.fitting.fit_checks import check_fit
from service.tailoring.sizing.offers import Question
from service.tailoring.work.prices import PriceList
from tests.tailoring.fitting.book_of_fittings import Case, body_of, cases, found_in, line_of, pages, sighting, worn_of

WAITING = pages()["not_yet"]["waiting"]
EIGHTHS = [f"{eighths // 8} {eighths % 8}/8".removeprefix("0 ").removesuffix(" 0/8") for eighths in range(81)]
# (point and way, the alteration, from and to in eighths of an inch, more eighths being more amiss)
GROWING = [
    ("front_closure spare", "jacket_waist_in", 6, 20),
    ("trouser_waist spare", "trouser_waist_in", 8, 32),
    ("trouser_waist short", "trouser_waist_out", 0, 16),
    ("jacket_cuff both spare", "jacket_sleeve_shorten_at_cuff both", 2, 12),
    ("jacket_cuff both short", "jacket_sleeve_lengthen_at_cuff both", 2, 10),
    ("shoulder_slope right spare", "jacket_pad_one_shoulder right", 2, 5),
    ("jacket_waist ease", "jacket_waist_in", 40, 72),
]
# Of these no amount is read, and each is looked at in another place than what is amiss.
RIGHT = ["trouser_rise right", "collar_gap right", "sleeve_pitch both right", "trouser_calf both right"]


def kept(case):
    """The lines that were seen, on the suit that is worn."""
    worn = worn_of(case)
    asked = Question((worn.chart,), PriceList())
    check = check_fit(body_of(case), asked, worn, tuple(map(sighting, case.seen)))
    return {
        line.what: line.amount_in
        for each in check.keeping.alterations
        if each.seen
        for line in [line_of(each.code, each.amount)]
    }


@pytest.mark.parametrize("customer", ["usual", "taped", "height_only"])
@pytest.mark.parametrize(("seen", "what", "least", "most"), GROWING, ids=[each[0] for each in GROWING])
def test_more_amiss_is_never_less_work(customer, seen, what, least, most):
    amounts = [
        kept(Case("", {"customer": customer, "seen": [f"{seen} {EIGHTHS[eighths]}"]})).get(what, 0)
        for eighths in range(least, most + 1)
    ]
    assert amounts == sorted(amounts)
    assert amounts[-1]


ALTERED = [case for case in cases() if case.seen and case.decision in ("alter", "keep") and case.name not in WAITING]


@pytest.mark.parametrize("case", ALTERED, ids=[case.name for case in ALTERED])
def test_what_is_right_adds_no_work(case):
    worn = set(worn_of(case).labels)
    said = {text.split()[0] for text in case.seen}
    before = {str(line) for line in found_in(case).lines}
    for right in RIGHT:
        point = sighting(right).point
        if point in said or ("trousers" if point.startswith("trouser") else "jacket") not in worn:
            continue
        after = found_in(Case(case.subject, case.written | {"seen": [*case.seen, right]}))
        assert {str(line) for line in after.lines} <= before
