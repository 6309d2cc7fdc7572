"""The book of fittings as the tests read it: what a fitter writes in a case, and what the service makes of it."""

from __future__ import annotations

import csv
import re
import tomllib
from dataclasses import dataclass
from fnmatch import fnmatch
from functools import cache
from pathlib import Path

from service.tailoring.body.body import read_body
from service.tailoring.body.posture import PostureNote
from service.tailoring.body.readings import reading
from service.tailoring.fitting.evidence import Worn
from service.tailoring.fitting.fit_check_records import record_of
from service.tailoring.fitting.fit_checks import check_fit
from service.tailoring.fitting.fit_points import fit_points
from service.tailoring.fitting.sightings import Sighting
from service.tailoring.garments.alterations import catalogue
from service.tailoring.garments.charts import ChartHead, chart, reference_chart
from service.tailoring.hems.dressed import Dressed
from service.tailoring.hems.hems import HEM_CODES
from service.tailoring.orders.sheets.order_sheets import SheetAsked, SheetSources, draw_up
from service.tailoring.quantities import inches, inches_text, length
from service.tailoring.refusals import Refusal
from service.tailoring.sizing.next_measures import next_measures
from service.tailoring.sizing.offers import Question
from service.tailoring.sizing.serving import with_deciding
from service.tailoring.sizing.sizing import advise
from service.tailoring.work.prices import PriceList
from tests.house import HOUSE

FOLDER = Path(__file__).parent / "fittings"
# The two files of the folder that hold no cases.
FIGURES, NOT_YET = "figures", "not_yet"
SIDES = ("left", "right", "both")
GARMENTS = ("jacket", "trousers")
KNOWN = {
    "name", "source", "customer", "also", "untaped", "age", "noted", "chart", "worn", "garments", "seen", "decision",
    "brings", "brings_if_swapped", "not_brought", "lines", "lines_if_altered", "only", "never", "left_if_undecided",
    "look_again", "words", "serves", "next", "ordered", "dressed",
}  # fmt: skip
# Half of the finest that is sewn.
HALF_A_STEP_IN = 1 / 16 + 0.001


@dataclass(frozen=True)
class Case:
    """One fitting as a fitter writes it down, and from which file of the book it is."""

    subject: str
    written: dict

    def __getattr__(self, name):
        return self.written.get(name)

    @property
    def customer(self):
        return self.written.get("customer", "usual")


@dataclass(frozen=True)
class Line:
    """A line of work: code and side, its way, and its amount in inches, where it takes one."""

    what: str
    way: str = ""
    amount_in: float | None = None

    def __str__(self):
        return self.what if self.amount_in is None else f"{self.what} {self.way} {inches_text(inches(self.amount_in))}"


@dataclass(frozen=True)
class Found:
    """What the service answers, in the words of the book. `lines` are of the advised plan, where somebody looked."""

    decision: str | None
    sizes: tuple[str, ...]
    worn: tuple[str, ...]
    lines: tuple[Line, ...]
    left: frozenset[str]
    look_again: bool
    serves: str | None
    said: list[str]
    next: tuple[str, ...]
    ordered: tuple[Line, ...]


@cache
def pages_of(folder):
    """The files of a book by name."""
    return {path.stem: tomllib.loads(path.read_text("utf-8")) for path in sorted(folder.glob("*.toml"))}


def pages():
    return pages_of(FOLDER)


def cases():
    """Every fitting of the book, in the order in which it is written."""
    return [
        Case(subject, written)
        for subject, page in pages().items()
        if subject not in (FIGURES, NOT_YET)
        for written in page["fitting"]
    ]


def chart_rows():
    """The chart that the shop of the book sells."""
    with (HOUSE / "demo" / "charts" / "everyday.csv").open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


@cache
def charts():
    """The shop's chart, the same with legs hemmed at 30 in as a worn pair is, and the reference block."""
    rows = chart_rows()
    hemmed = [row | ({"inside_leg": "30"} if row["garment"] == "trousers" else {}) for row in rows]
    return {
        "reference": reference_chart(),
        "everyday": chart(ChartHead("everyday", "Everyday separates"), rows),
        "hemmed": chart(ChartHead("hemmed", "Everyday separates, hemmed", unfinished=False), hemmed),
    }


def taped(case):
    """What the tape says of the customer: dimension, value and unit."""
    known = pages()[FIGURES][case.customer] | (case.also or {})
    return [
        (dimension, *(text.rsplit(" ", 1) if text[-1].isalpha() else (text, "in")))
        for dimension, text in known.items()
        if dimension not in (case.untaped or ())
    ]


def body_of(case):
    """The customer as far as the tape tells."""
    readings = tuple(reading(*each) for each in taped(case))
    notes = tuple(
        PostureNote(name, length(amount, "in")) for name, amount in (note.split(" ", 1) for note in case.noted or ())
    )
    return read_body(readings, case.age).with_posture(notes)


def sighting(text):
    """A sighting as it is written: "jacket_cuff left short 1/2", "lapel bows_away", "front_closure spare 1 1/4"."""
    point, *said = text.split()
    # "right" by itself is what was seen, not where.
    side = said.pop(0) if len(said) > 1 and said[0] in SIDES else None
    if fit_points()[point].sides == "none" and side:
        raise ValueError(text)
    if len(said) == 1 and not said[0][0].isdigit():
        return Sighting(point, seen=said[0], side=side)
    way, *amount = said
    mm = length(" ".join(amount), "in").mm
    return Sighting(point, amount_mm=-mm if way == "short" else mm, side=side)


def worn_of(case):
    labels = (case.worn or "40R 34").split()
    worn = dict(map(_garment_and_label, labels))
    return Worn(charts()[case.chart or "everyday"], worn)


def _garment_and_label(text):
    """A label says its garment: "40R" is a jacket's, "34" trousers'; a waistcoat is said."""
    garment, _, label = text.rpartition(":")
    return garment or ("trousers" if label.isdigit() else "jacket"), label


def dressed_of(case):
    """What the customer has on beside the suit: heels are lengths, the rest are words."""
    said = (case.dressed or {}).items()
    return Dressed(**{part: length(*text.rsplit(" ", 1)) if part.endswith("heel") else text for part, text in said})


def found_in(case):
    """What the service answers to a case: at the mirror where something was seen, else before anything is tried on."""
    return _at_the_mirror(case) if case.seen else _from_the_tape(case)


def _at_the_mirror(case):
    worn = worn_of(case)
    seen = tuple(map(sighting, case.seen))
    check = check_fit(body_of(case), Question((worn.chart,), PriceList()), worn, seen, dressed=dressed_of(case))
    best = check.plans[0]

    def uncut(code):
        # The hem of an uncut leg belongs to selling it, and is marked on the man in his shoes.
        return worn.chart.unfinished and code in HEM_CODES.values()

    said = [
        *words_of(check.notices),
        *(each.words for each in check.look_again),
        *(each.why for each in check.left_to_fitter),
        *(each.arithmetic for each in best.alterations),
        *(each.why for each in check.ruling.ruled),
    ]
    return Found(
        decision=check.decision,
        sizes=sizes_of(best),
        worn=tuple(worn.labels.values()),
        lines=tuple(line_of(each.code, each.amount) for each in best.alterations if each.seen and not uncut(each.code)),
        left=frozenset(each.point for each in check.left_to_fitter),
        look_again=bool(check.look_again),
        serves=best.serves,
        said=said,
        next=tuple(each.dimension for each in check.next_measures),
        ordered=ordered_of(record_of(check, worn, seen, ())) if case.ordered is not None else (),
    )


def _from_the_tape(case):
    garments = GARMENTS if case.garments is None else tuple(case.garments.split())
    body, asked = body_of(case), Question((charts()[case.chart or "everyday"],), PriceList(), garments=garments)
    advice = advise(body, asked)
    best = advice.plans[0]
    return Found(
        decision=None,
        sizes=sizes_of(best),
        worn=(),
        lines=tuple(line_of(each.code, each.amount) for each in best.alterations),
        left=frozenset(),
        look_again=False,
        serves=best.serves,
        said=words_of((*advice.notices, *(advice.serves.notices if advice.serves else ()))),
        next=tuple(each.dimension for each in with_deciding(next_measures(body, asked, advice.offers), best, body)),
        ordered=(),
    )


def ordered_of(record):
    """The lines of a sheet that is drawn up from a fit check, all but hems."""
    asked = SheetAsked(from_fit_check="its id", add_follow_ons=False, to_be_pinned=True)
    try:
        sheet = draw_up(asked, SheetSources(PriceList(), charts(), record))
    except Refusal as refusal:
        # There is nothing to order, or what is planned was never tried on.
        if refusal.code not in ("order_empty", "swap_not_tried_on"):
            raise
        return ()
    hems = HEM_CODES.values()
    return tuple(line_of(each.alteration, each.amount) for each in sheet.lines if each.alteration not in hems)


def sizes_of(plan):
    return tuple(size.label for garment in GARMENTS for size in (plan.chosen.get(garment),) if size)


def words_of(notices):
    return [each.text for each in notices]


def line_of(code, amount):
    if amount is None:
        return Line(code)
    way = {"increase": "more", "decrease": "less"}[amount.direction]
    return Line(f"{code} {amount.side or ''}".strip(), way, amount.length.mm / inches(1))


def mirrored(case):
    """The same customer in a mirror; None where nothing was seen on one side."""
    seen = [_turned(text) for text in case.seen or ()]
    return None if seen == (case.seen or []) else Case(case.subject, case.written | {"seen": seen})


def turned(lines):
    """Lines as a mirror shows them, in no order."""
    return {str(Line(_turned(line.what), line.way, line.amount_in)) for line in lines}


def _turned(text):
    """Left for right in a sighting or a line; "right" that says how it looks stays."""
    point, *rest = text.split()
    if rest and rest[0] in ("left", "right") and (len(rest) > 1 or point in catalogue()):
        rest[0] = "left" if rest[0] == "right" else "right"
    return " ".join([point, *rest])


# ---------------------------------------------------------------- what the fitter says of it


def wrong_in(case, found):
    """What the fitter finds wrong with an answer, in a fitter's words; nothing where it is right."""
    return [
        *_wrong_decision(case, found),
        *_wrong_sizes(case, found),
        *_wrong_lines(case, found),
        *_wrong_order(case, found),
        *_wrong_words(case, found),
    ]


def _wrong_decision(case, found):
    wanted = listed(case.decision)
    if wanted and found.decision not in wanted:
        yield f"the fitter would {' or '.join(map(DOES.get, wanted))}; the service would {DOES[found.decision]}"
    if case.serves and found.serves != case.serves:
        yield f"does a size here serve? The fitter: {case.serves}; the service: {found.serves}"
    if found.decision == "undecided":
        for point in case.left_if_undecided or ():
            if point not in found.left:
                yield f"{point} is for the fitter to decide; left to the fitter: {', '.join(found.left) or 'nothing'}"


def _wrong_sizes(case, found):
    swapped = found.decision == "swap"
    brought = [label for label in found.sizes if label not in found.worn]
    wanted = case.brings or (case.brings_if_swapped if swapped else None)
    for garment in (wanted or "").split(","):
        labels = either(garment)
        if labels and not set(labels) & set(found.sizes):
            yield f"the fitter would bring {' or '.join(labels)}; the service brings {', '.join(found.sizes)}"
    for pattern in case.not_brought or ():
        for label in brought:
            if swapped and fnmatch(label, pattern):
                yield f"the service brings {label}, and a fitter would not"


def _wrong_lines(case, found):
    wanted = [*(case.lines or ()), *((case.lines_if_altered or ()) if found.decision == "alter" else ())]
    have = ", ".join(map(str, found.lines)) or "nothing"
    for text in wanted:
        if not any(is_line(one, line) for one in either(text) for line in found.lines):
            yield f"the fitter would mark {text}; the service has {have}"
    for pattern in case.never or ():
        for line in found.lines:
            if fnmatch(line.what, pattern) or fnmatch(line.what.split()[0], pattern):
                yield f"the service has {line}, which nothing that was seen asks for"
    if case.only and len(found.lines) != len(wanted):
        yield f"the fitter would mark {len(wanted)} lines and no more; the service has {have}"


def _wrong_order(case, found):
    if case.ordered is None:
        return
    have = ", ".join(map(str, found.ordered)) or "nothing"
    for text in case.ordered:
        if not any(is_line(one, line) for one in either(text) for line in found.ordered):
            yield f"the order wants {text}; it has {have}"
    if len(found.ordered) > len(case.ordered):
        yield f"the order has {have}; the fitter wrote {', '.join(case.ordered) or 'nothing'}"


def _wrong_words(case, found):
    if case.look_again is not None and found.look_again != case.look_again:
        yield (
            "nobody is asked to look again" if case.look_again else "the fitter is asked to look again, and all agrees"
        )
    said = "\n".join(filter(None, found.said))
    for words in case.words or ():
        if not re.search(words, said, re.DOTALL):
            yield f"nothing says {words!r}; said is: {said!r}"
    if case.next and not set(either(case.next)) & set(found.next):
        yield f"the next measure is {case.next}; the service asks for {', '.join(found.next) or 'none'}"


DOES = {
    "keep": "keep it",
    "alter": "alter it",
    "swap": "bring another size",
    "undecided": "leave it to the fitter's eye",
}


def listed(words):
    return [words] if isinstance(words, str) else list(words or ())


def either(text):
    """The ways that a case leaves open: "35 | 36"."""
    return [each.strip() for each in text.split("|") if each.strip()]


def is_line(text, line):
    """Whether a line is the one written: code, side, way and amount, as far as the case says them.

    "jacket_waist_in 1 1/2 to 2" leaves an amount open between two.
    """
    code, *rest = text.split()
    side = rest.pop(0) if rest and rest[0] in SIDES else ""
    way = rest.pop(0) if rest and rest[0] in ("more", "less") else ""
    if line.what not in ((f"{code} {side}",) if side else (code, *(f"{code} {each}" for each in SIDES))):
        return False
    if way and line.way != way:
        return False
    if not rest:
        return True
    least, _, most = " ".join(rest).partition(" to ")
    least_in, most_in = (length(amount, "in").mm / inches(1) for amount in (least, most or least))
    return line.amount_in is not None and least_in - HALF_A_STEP_IN <= line.amount_in <= most_in + HALF_A_STEP_IN
