"""Fit checks on record, for tests that need one and not the reckoning behind it."""

from dataclasses import replace
from datetime import UTC, datetime

from service.storage.fitting.fit_checks import KeptFitCheck
from service.tailoring.body.body import read_body
from service.tailoring.body.readings import Reading
from service.tailoring.fitting.evidence import Worn
from service.tailoring.fitting.fit_check_records import VERSION, FitCheckRecord, record_of
from service.tailoring.fitting.fit_checks import check_fit
from service.tailoring.fitting.options import compare, other_drops
from service.tailoring.fitting.sightings import Sighting
from service.tailoring.garments.charts import GARMENTS, ChartSize, reference_chart
from service.tailoring.notices import Notice
from service.tailoring.quantities import Length
from service.tailoring.sizing.offers import Question
from service.tailoring.sizing.plans import Plan
from service.tailoring.sizing.shares import Shares
from service.tailoring.work.prices import Money, PriceList
from tests.days import MONDAY

CHECK_ID = "6f0c2a8e-0000-4000-8000-000000000001"
SIZES = {"jacket": "38R", "trousers": "32", "waistcoat": "38R"}


def a_plan(*garments):
    chosen = {each: ChartSize("reference", 1, SIZES[each]) for each in GARMENTS if each in garments}
    return Plan(chosen, (), Money(0, "EUR"), Shares(1.0, 1.0, 1.0), ())


def a_record(*verdicts, garments=("jacket", "trousers"), **parts):
    plan = a_plan(*garments)
    record = FitCheckRecord(
        version=VERSION,
        decision="alter",
        decided_by=None,
        worn=plan.chosen,
        seen=(),
        verdicts=tuple(verdicts),
        rules=(),
        choices=(),
        causes=(),
        look_next=(),
        body=(),
        inside_leg=None,
        plans=(plan,),
        keeping=plan,
        next_measures=(),
        notices=(),
    )
    return replace(record, **parts)


def a_check(*verdicts, **parts):
    return KeptFitCheck(CHECK_ID, "C-1", a_record(*verdicts, **parts), {}, datetime(2026, 3, 2, 9, tzinfo=UTC))


def a_whole_record():
    """A record with all that one may hold: something wrong and its causes, amounts, choices, notices with lists."""
    worn = Worn(reference_chart(), {"trousers": "32", "jacket": "38R"})
    seen = (
        Sighting("front_closure", None, 38.1),
        Sighting("jacket_cuff", None, 19.05, "left"),
        Sighting("shoulder", "right", None, "both"),
    )
    body = read_body((Reading("stature", Length(1664.0, "cm")), Reading("chest_girth", Length(1016.0, "in"))), 34.0)
    check = check_fit(body, Question((reference_chart(),), PriceList()), worn, seen)
    choices = compare(check, worn, other_drops(worn, ()), lambda work: MONDAY if work else None)
    lists = Notice("example", ("observations", 1), "words", (("none", None), ("mm", 12.7), ("those", ("a", "b"))))
    record = record_of(check, worn, seen, choices)
    return replace(record, notices=(*record.notices, lists))
