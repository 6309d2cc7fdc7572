"""Measurement sets: recorded, read back, and what they say of the body."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from typing import Any

from service.storage.database import Transaction
from service.storage.people import measurement_sets
from service.storage.people.measurement_sets import MeasurementSet
from service.tailoring.body.body import Body, read_body
from service.tailoring.body.estimates import Estimate, estimates
from service.tailoring.body.posture import PostureNote
from service.tailoring.body.readings import Reading
from service.tailoring.body.wears import How, Wears, evidence, notice
from service.tailoring.garments.charts import Garment
from service.tailoring.labels.charted_labels import label_in
from service.tailoring.labels.named_sizes import NamedSize, understood
from service.tailoring.refusals import Refusal, Where
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.idempotency import Answer, IdempotentRequest, answer_once
from service.use_cases.people.disclosures import note_shown
from service.use_cases.people.own_men import population_asked, todays_men
from service.use_cases.shop.charts import find_chart

SETS_MOST = 100
# Of a list of sets together. A set has a dozen; one of sixty readings with all their repeats has six hundred.
SIZES_MOST = 18_000


@dataclass(frozen=True, slots=True)
class SetAsked:
    """A measurement set as a caller records it; `taken_on` is today where it is not given."""

    readings: tuple[Reading, ...]
    customer_ref: str | None = None
    taken_on: date | None = None
    taken_by: str | None = None
    age_years: float | None = None
    posture: tuple[PostureNote, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class WearsAsked:
    """A size that the customer wears, how that is known, and the code of its chart or the size system of its label."""

    garment: Garment
    label: str
    how: How
    chart: str | None = None
    system: str | None = None


@dataclass(frozen=True, slots=True)
class BodyEvidence:
    """All that is known of a man: readings here or in a recorded set, his age, posture, and what he wears.

    `population_version` is that of the men by whom he is judged: 0 for men in general, None for today's.
    """

    readings: tuple[Reading, ...] = ()
    measurement_set: str | None = None
    age_years: float | None = None
    posture: tuple[PostureNote, ...] = ()
    wears: tuple[WearsAsked, ...] = ()
    population_version: int | None = None


@dataclass(frozen=True, eq=False)
class ShownSet:
    """A measurement set with what it says of the body."""

    kept: MeasurementSet
    body: Body

    @property
    def estimates(self) -> tuple[Estimate, ...]:
        """Every dimension of the body that is known, read or estimated."""
        return estimates(self.body)


@dataclass(frozen=True, slots=True)
class SetsPage:
    """A page of a customer's sets; `after` continues it, None at its end."""

    measurement_sets: tuple[ShownSet, ...]
    after: str | None


def record_measurement_set(
    context: ServiceContext,
    caller: Caller,
    asked: SetAsked,
    idempotent: IdempotentRequest,
    document: Callable[[ShownSet], dict[str, Any]],
) -> Answer:
    """Keep the readings of one customer. Raises Refusal `reading_out_of_bounds` or `taken_in_future`."""
    today = context.today(caller.shop)
    if asked.taken_on and asked.taken_on > today:
        raise Refusal("taken_in_future", ("taken_on",), today=today.isoformat())
    body = read_body(asked.readings, asked.age_years, todays_men(caller)).with_posture(asked.posture)

    def make() -> dict[str, Any]:
        kept = MeasurementSet(
            id=context.new_id(),
            customer_ref=asked.customer_ref,
            taken_on=asked.taken_on or today,
            taken_by=asked.taken_by,
            age_years=asked.age_years,
            readings=asked.readings,
            posture=asked.posture,
            note=asked.note,
            recorded_at=context.now(),
        )
        measurement_sets.add_measurement_set(tx, caller.shop.id, kept)
        return document(ShownSet(kept, body))

    with context.database.writing() as tx:
        return answer_once(tx, caller.shop.id, idempotent, context.now(), make)


def show_measurement_set(context: ServiceContext, caller: Caller, set_id: str) -> ShownSet:
    """One set. Raises Refusal `not_found`."""
    with context.database.writing() as tx:
        kept = measurement_sets.find_measurement_set(tx, caller.shop.id, set_id)
        if kept is None:
            raise Refusal("not_found")
        note_shown(tx, context, caller, "measurement_set", thing=kept.id, customer_ref=kept.customer_ref)
    return shown_set(caller, kept)


def sets_of_customer(
    context: ServiceContext, caller: Caller, customer_ref: str, after: str | None = None, most: int = SETS_MOST
) -> SetsPage:
    """A page of a customer's sets, newest first, from `after` the id of a set on; empty where they are not known.

    It ends early where its sets hold more than `SIZES_MOST` together. Raises Refusal `set_unknown`, pointing at
    ("after",), where the customer has no such set.
    """
    with context.database.writing() as tx:
        last = measurement_sets.find_measurement_set(tx, caller.shop.id, after) if after else None
        if after and (last is None or last.customer_ref != customer_ref):
            raise Refusal("set_unknown", ("after",))
        place = (last.recorded_at, last.id) if last else None
        found = measurement_sets.sets_of_customer(tx, caller.shop.id, customer_ref, most + 1, place)
        kept, is_last = _page(found, most)
        if kept:
            note_shown(tx, context, caller, "measurement_sets", customer_ref=customer_ref)
    return SetsPage(tuple(shown_set(caller, each) for each in kept), None if is_last else kept[-1].id)


def _page(found: Iterable[MeasurementSet], most: int) -> tuple[list[MeasurementSet], bool]:
    """As many sets as a page holds, and whether it is the last; none beyond it is opened but the next."""
    kept: list[MeasurementSet] = []
    sizes = 0
    for each in found:
        sizes += sum(1 + len(read.repeats) for read in each.readings)
        if len(kept) == most or sizes > SIZES_MOST:
            return kept, False
        kept.append(each)
    return kept, True


def shown_set(caller: Caller, kept: MeasurementSet) -> ShownSet:
    """A set with what it says of the body, by the shop's men of today."""
    body = read_body(kept.readings, kept.age_years, todays_men(caller)).with_posture(kept.posture)
    return ShownSet(kept, body)


@contextmanager
def looking_up(context: ServiceContext, known: BodyEvidence) -> Iterator[Transaction]:
    """A transaction for `body_asked`: one that also keeps what was shown, where a recorded set is named."""
    database = context.database
    with database.reading() if known.measurement_set is None else database.writing() as tx:
        yield tx


def body_asked(
    tx: Transaction, context: ServiceContext, caller: Caller, known: BodyEvidence
) -> tuple[Body, MeasurementSet | None]:
    """The body that a question is about, from every kind of evidence together.

    Raises Refusal `set_unknown`, `reading_out_of_bounds`, `chart_unknown`, `label_unknown` or
    `population_version_unknown`.
    """
    kept = None
    if known.measurement_set is not None:
        # What was recorded of a customer does not exist for a key that everybody can read.
        if not caller.is_page:
            kept = measurement_sets.find_measurement_set(tx, caller.shop.id, known.measurement_set)
        if kept is None:
            raise Refusal("set_unknown", ("measurement_set",))
        note_shown(tx, context, caller, "advice", thing=kept.id, customer_ref=kept.customer_ref)
    # Inline readings come first, so that notices point at them; those of the set follow.
    readings = (*known.readings, *(kept.readings if kept else ()))
    age_years = kept.age_years if kept and known.age_years is None else known.age_years
    body = read_body(readings, age_years, population_asked(tx, caller, known.population_version))
    if known.posture or kept is None:
        body = body.with_posture(known.posture)
    else:
        body = body.with_posture(kept.posture, ("measurement_set", "posture"))
    return (_wearing(tx, caller, body, known.wears) if known.wears else body), kept


def _wearing(tx: Transaction, caller: Caller, body: Body, wears: Sequence[WearsAsked]) -> Body:
    """The body with what is worn: sizes of charts first, for labels of no chart are judged by them too."""
    placed = [(("wears", i), each) for i, each in enumerate(wears)]
    worn = [(at, _worn(tx, caller, each, each.chart, at)) for at, each in placed if each.chart is not None]
    seen = tuple(observation for _, each in worn for observation in evidence(each))
    body = body.also(seen, tuple(notice(each, at) for at, each in worn))
    named = [
        (at, NamedSize(each.garment, each.label, each.how, each.system)) for at, each in placed if each.chart is None
    ]
    return understood(body, named) if named else body


def _worn(tx: Transaction, caller: Caller, asked: WearsAsked, code: str, at: Where) -> Wears:
    chart = find_chart(tx, caller.shop.id, code, (*at, "chart"))
    try:
        return Wears(chart, asked.garment, label_in(chart, asked.garment, asked.label, asked.system), asked.how)
    except Refusal as refusal:
        raise refusal.within(*at) from None
