import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
from cattrs.errors import CattrsError
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import Column, MetaData, Table, insert, select, update

from service.storage import idempotency, keys, shops, workroom
from service.storage.columns import UtcDateTime
from service.storage.fitting import fit_check_records as records
from service.storage.fitting import fit_checks
from service.storage.fitting.fit_checks import KeptFitCheck
from service.storage.keys import Key
from service.storage.orders import order_lists, orders
from service.storage.orders.order_lists import OrderFilter
from service.storage.orders.orders import FiledOrder
from service.storage.people import measurement_sets
from service.storage.people.measurement_sets import MeasurementSet
from service.storage.shops import Shop
from service.storage.tables import order_garments as garment_rows
from service.storage.tables import order_lines as order_line_rows
from service.storage.tables import orders as order_rows
from service.tailoring.body.posture import PostureNote
from service.tailoring.body.readings import Reading
from service.tailoring.fitting.fit_check_records import VERSION, FitCheckRecord
from service.tailoring.fitting.left_open import OpenDoubt
from service.tailoring.garments.alterations import ALTERED, BASES, DIRECTIONS, SIDES, catalogue
from service.tailoring.garments.amounts import INLAY_BASES, Amount
from service.tailoring.garments.charts import GARMENTS
from service.tailoring.garments.pieces import LININGS, PATTERNS, GarmentPiece
from service.tailoring.hems.dressed import COLLARS, CUFFS, HELD_UP_BY, POCKETS, SHOES, Dressed
from service.tailoring.orders.lines.order_lines import MARKED_WITH, ORIGINS, OrderLine
from service.tailoring.orders.order_moves import move
from service.tailoring.orders.order_states import EVENT_KINDS, STATES, OrderEvent
from service.tailoring.orders.orders import Order
from service.tailoring.quantities import Length, Mass
from service.tailoring.work.prices import Money, PriceList, Terms
from service.tailoring.workroom.bookings import BookedMinutes
from service.tailoring.workroom.calendar import BookedAtBench, KeptDay
from service.tailoring.workroom.weeks import Week
from tests.days import MONDAY, OPENING, SUMMER_IN_DUBLIN, TUESDAY, WEDNESDAY
from tests.papers.orders import an_order
from tests.records import a_whole_record
from tests.shops import new_id

moments = st.datetimes(
    OPENING.replace(tzinfo=None), timezones=st.sampled_from([UTC, timezone(timedelta(hours=5, minutes=45))])
)
lengths = st.builds(Length, st.floats(1, 9000), st.sampled_from(("in", "cm", "mm")))
readings = st.one_of(
    st.builds(Reading, st.just("chest_girth"), lengths, st.sampled_from(("measured", "self_measured"))),
    st.builds(Reading, st.just("body_mass"), st.builds(Mass, st.floats(1, 900), st.sampled_from(("kg", "lb", "st")))),
)
sets = st.builds(
    MeasurementSet,
    id=st.builds(new_id),
    customer_ref=st.none() | st.just("C-1"),
    taken_on=st.dates(),
    taken_by=st.none() | st.just("fitter-1"),
    age_years=st.none() | st.floats(1, 120),
    readings=st.lists(readings, max_size=4).map(tuple),
    posture=st.lists(
        st.builds(PostureNote, st.just("longer_arm"), st.just(Length(9.525, "in")), st.sampled_from(["left", "right"])),
        max_size=3,
    ).map(tuple),
    note=st.text(st.characters(exclude_categories=["Cc", "Cs"]), max_size=200),
    recorded_at=moments,
)
lines_of_text = st.text(st.characters(exclude_categories=["Cc", "Cs"]), max_size=40)
references = st.text("ABCabc019._~:@-", min_size=1, max_size=64)
pieces = st.builds(
    GarmentPiece,
    piece=st.integers(1, 99),
    garment=st.sampled_from(ALTERED),
    chart=st.none() | lines_of_text,
    label=st.none() | st.just("36R"),
    cloth=lines_of_text,
    pattern=st.sampled_from(PATTERNS),
    worked_buttonholes=st.booleans(),
    pins_left_in=st.integers(0, 200),
    style=lines_of_text,
    lining=st.none() | st.sampled_from(LININGS),
    repeat=st.none() | lengths,
    must_keep=lines_of_text,
    faults_seen=lines_of_text,
    hemmed=st.booleans(),
    pleats=st.none() | st.integers(0, 4),
    crease=st.none() | st.booleans(),
)
amounts = st.builds(
    Amount, lengths, st.sampled_from(BASES), st.sampled_from(DIRECTIONS), st.none() | st.sampled_from(SIDES)
)
order_lines = st.builds(
    OrderLine,
    piece=st.integers(1, 99),
    alteration=st.sampled_from(tuple(catalogue())),
    amount=st.none() | amounts,
    target=st.none() | lengths,
    inlay_seen=st.none() | lengths,
    subject_to_inlay=st.booleans(),
    minutes=st.integers(0, 2**31 - 1),
    price=st.builds(Money, st.integers(0, 2**53), st.sampled_from(("EUR", "JPY"))),
    tax_category=st.just("standard"),
    note=lines_of_text,
    marked_with=st.none() | st.sampled_from(MARKED_WITH),
    undone_first=st.booleans(),
    origin=st.sampled_from(ORIGINS),
    seen=st.booleans(),
    inlay_basis=st.none() | st.sampled_from(INLAY_BASES),
    inlay_seams=st.none() | st.integers(1, 4),
    to_be_pinned=st.booleans(),
    look_again=st.lists(lines_of_text, max_size=2).map(tuple),
)
minor = st.integers(0, 2**53)
facts = st.dictionaries(lines_of_text, st.none() | st.booleans() | st.integers(0, 200) | lines_of_text, max_size=3)
happened = st.builds(
    OrderEvent,
    at=moments,
    by=references,
    from_state=st.none() | st.sampled_from(STATES),
    to_state=st.sampled_from(STATES),
    note=lines_of_text,
    facts=facts.map(lambda said: tuple(said.items())),
    kind=st.sampled_from(EVENT_KINDS[1:]),
).map(lambda event: replace(event, kind="placed") if event.from_state is None else event)
drawn_orders = st.builds(
    Order,
    number=st.integers(1, 2**53).map(str),
    garments=st.lists(pieces, min_size=1, max_size=3).map(tuple),
    lines=st.lists(order_lines, min_size=1, max_size=3).map(tuple),
    customer_ref=st.none() | references,
    sale_ref=st.none() | references,
    needed_by=st.none() | st.dates(),
    promised_for=st.dates(),
    placed_at=moments,
    marked_by=references,
    events=st.lists(happened, min_size=1, max_size=3).map(tuple),
    terms=st.builds(Terms, minor, minor, st.none() | minor),
    rush=st.booleans(),
    note=lines_of_text,
    look_again=st.lists(st.builds(OpenDoubt, lines_of_text, st.sampled_from(("", *GARMENTS))), max_size=2).map(tuple),
    dressed=st.builds(
        Dressed,
        heel=st.none() | st.just(Length(25.4, "in")),
        shoes=st.none() | st.sampled_from(SHOES),
        shirt_collar=st.none() | st.sampled_from(COLLARS),
        shirt_cuff=st.none() | st.sampled_from(CUFFS),
        pockets=st.none() | st.sampled_from(POCKETS),
        held_up_by=st.none() | st.sampled_from(HELD_UP_BY),
    ),
    piece_states=st.tuples(*[st.sampled_from(STATES)] * 3),
).map(lambda order: replace(order, piece_states=order.piece_states[: len(order.garments)]))
quick = settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])


@quick
@given(kept=sets)
def test_a_measurement_set_comes_back_as_it_was_kept(database, shop, kept):
    with database.writing() as tx:
        measurement_sets.add_measurement_set(tx, shop.id, kept)
        assert kept == measurement_sets.find_measurement_set(tx, shop.id, kept.id)


def test_repeats_of_a_reading_come_back_in_its_unit(database, shop):
    repeated = Reading("chest_girth", Length(914.4, "in"), "measured", (Length(920.75, "in"), Length(917.0, "in")))
    kept = MeasurementSet(new_id(), None, MONDAY, None, None, (repeated,), (), "", OPENING)
    with database.writing() as tx:
        measurement_sets.add_measurement_set(tx, shop.id, kept)
        assert (repeated,) == measurement_sets.find_measurement_set(tx, shop.id, kept.id).readings


def test_a_fit_check_comes_back_as_it_was_kept(database, shop):
    answer = {"verdicts": [{"words": "Ärmel ½ – too long", "mm": 12.7}], "none": None, "big": 2**53}
    kept = KeptFitCheck(new_id(), "C-1", a_whole_record(), answer, SUMMER_IN_DUBLIN)
    with database.writing() as tx:
        fit_checks.add_fit_check(tx, shop.id, kept)
    with database.reading() as tx:
        assert kept == fit_checks.find_fit_check(tx, shop.id, kept.id)


@pytest.mark.parametrize("version", range(1, VERSION + 1))
def test_a_record_of_a_fit_check_keeps_its_form(database, version):
    # Rows of these forms are out there: a change that no longer reads them is another version.
    kept = json.loads((Path(__file__).parent / f"fit_check_record_{version}.json").read_text("utf-8"))
    record = records.read(kept, FitCheckRecord)
    rewritten = json.loads(json.dumps(records.written(record)))
    assert version == record.version
    assert kept == (rewritten if version == VERSION else as_much_of(rewritten, kept))


def test_a_record_from_before_shares_were_counted_by_garment_is_read_as_one_that_has_none():
    kept = json.loads((Path(__file__).parent / f"fit_check_record_{VERSION}.json").read_text("utf-8"))
    for plan in (*kept["plans"], kept["keeping"]):
        del plan["garment_shares"], plan["shares"]["p_within_one_size"]
    plans = records.read(kept, FitCheckRecord).plans
    assert [({}, None)] * len(plans) == [(plan.garment_shares, plan.shares.p_within_one_size) for plan in plans]


def as_much_of(written, kept):
    """What is written, without the fields that the earlier form lacked."""
    if isinstance(kept, dict):
        return {name: as_much_of(written[name], kept[name]) for name in kept}
    if isinstance(kept, list):
        return [as_much_of(*both) for both in zip(written, kept, strict=True)]
    return written


def test_what_is_no_record_is_not_taken_for_one():
    kept = records.written(a_whole_record())
    with pytest.raises(CattrsError):
        records.read(kept | {"decision": "burn"}, FitCheckRecord)


@quick
@given(order=drawn_orders)
def test_any_order_comes_back_as_it_was_filed(database, order):
    owner = Shop(new_id(), "A", "UTC", PriceList(), Week())
    filed = FiledOrder(new_id(), 1, new_id(), order)
    with database.writing() as tx:
        shops.add_shop(tx, owner, OPENING)
        orders.add_order(tx, owner.id, filed)
        assert filed == orders.find_order(tx, owner.id, filed.id)
        assert (owner.id, filed) == orders.find_by_token(tx, filed.collection_token)


@pytest.mark.parametrize(
    ("note", "origin", "seen"),
    [
        ("likes it close", "asked", True),
        ("follows from: shoulder narrowed (pair)", "follow_on", True),
        ("not seen or taped at the fitting: look before it is sewn", "planned", False),
    ],
)
def test_a_line_that_the_release_before_filed_is_read_by_its_note(database, shop, note, origin, seen):
    order = an_order(number="1001")
    filed = FiledOrder(new_id(), 1, new_id(), replace(order, lines=(replace(order.lines[0], note=note),)))
    with database.writing() as tx:
        orders.add_order(tx, shop.id, filed)
        tx.execute(update(order_line_rows).values(origin=None, seen=None))
        (line,) = orders.find_order(tx, shop.id, filed.id).order.lines
    assert (note, origin, seen) == (line.note, line.origin, line.seen)


def test_what_a_move_changes_is_filed_with_a_new_version(database, shop):
    first = FiledOrder(new_id(), 1, new_id(), an_order(number="1001"))
    said = {"pins_in": 2, "reason": "côté – gauche", "pieces": [2]}
    moved = move(first.order, "cancelled", "tailor-1", SUMMER_IN_DUBLIN, "note ½", **said)
    with database.writing() as tx:
        orders.add_order(tx, shop.id, first)
        filed = orders.file_change(tx, first, moved)
    with database.reading() as tx:
        found = orders.find_order(tx, shop.id, first.id)
    assert filed == found
    assert (2, said) == (found.version, dict(found.order.events[-1].facts))
    assert ("marked", ("marked", "cancelled")) == (found.order.state, found.order.piece_states)


def test_the_pieces_of_an_order_that_a_release_before_moved_are_where_it_is(database, shop):
    first = FiledOrder(new_id(), 1, new_id(), an_order(number="1001"))
    accepted = move(first.order, "accepted", "fitter-1", SUMMER_IN_DUBLIN, pieces=[1])
    with database.writing() as tx:
        orders.add_order(tx, shop.id, first)
        assert ("accepted", "marked") == orders.file_change(tx, first, accepted).order.piece_states
        tx.execute(update(order_rows).values(state="in_workroom"))
        assert ("in_workroom",) * 2 == orders.find_order(tx, shop.id, first.id).order.piece_states
        tx.execute(update(order_rows).values(state="marked"))
        tx.execute(update(garment_rows).values(state=None, order_state=None))
        assert ("marked",) * 2 == orders.find_order(tx, shop.id, first.id).order.piece_states


def test_an_order_is_listed_as_it_is_filed(database, shop):
    filed = FiledOrder(new_id(), 1, new_id(), an_order(number="1001"))
    with database.writing() as tx:
        orders.add_order(tx, shop.id, filed)
        (listed,) = order_lists.list_orders(tx, shop.id, OrderFilter(), 10)
    parts = ("number", "state", "customer_ref", "sale_ref", "needed_by", "promised_for")
    assert [getattr(filed.order, part) for part in parts] == [getattr(listed, part) for part in parts]


def test_bookings_add_up_beside_the_days_and_are_given_back(database, shop):
    filed = [FiledOrder(new_id(), 1, new_id(), an_order(number=number)) for number in ("1", "2")]
    taken = (BookedMinutes(TUESDAY, "trousers", 20, 5), BookedMinutes(WEDNESDAY, "trousers", 7, reserve=True))
    with database.writing() as tx:
        for each in filed:
            orders.add_order(tx, shop.id, each)
            workroom.take_minutes(tx, shop.id, each.id, taken)
        assert taken == workroom.bookings_of(tx, filed[0].id)
        tuesday, wednesday = {"trousers": BookedAtBench(40, 10)}, {"trousers": BookedAtBench(14, 0, 14)}
        assert {TUESDAY: tuesday, WEDNESDAY: wednesday} == workroom.days_from(tx, shop.id, MONDAY)[0]
        assert {WEDNESDAY: wednesday} == workroom.days_from(tx, shop.id, WEDNESDAY)[0]
        assert {TUESDAY: tuesday} == workroom.days_from(tx, shop.id, MONDAY, TUESDAY)[0]
        assert taken == workroom.free_minutes(tx, shop.id, filed[0].id)
        left = {TUESDAY: {"trousers": BookedAtBench(20, 5)}, WEDNESDAY: {"trousers": BookedAtBench(7, 0, 7)}}
        assert left == workroom.days_from(tx, shop.id, MONDAY)[0] == workroom.booked_by_order(tx, shop.id, MONDAY)
        assert ((), taken) == tuple(workroom.bookings_of(tx, each.id) for each in filed)


def test_minutes_are_given_back_from_a_day_on_and_at_some_benches(database, shop):
    filed = FiledOrder(new_id(), 1, new_id(), an_order(number="1"))
    taken = tuple(BookedMinutes(day, bench, 10) for day in (TUESDAY, WEDNESDAY) for bench in ("finishing", "trousers"))
    with database.writing() as tx:
        orders.add_order(tx, shop.id, filed)
        workroom.take_minutes(tx, shop.id, filed.id, taken)
        assert taken[3:] == workroom.free_minutes(tx, shop.id, filed.id, WEDNESDAY, ("trousers",))
        assert taken[:3] == workroom.bookings_of(tx, filed.id)


def test_a_day_that_the_shop_set_comes_back_and_keeps_its_bookings(database, shop):
    filed = FiledOrder(new_id(), 1, new_id(), an_order(number="1"))
    kept = KeptDay({"trousers": 120, "jackets": 0}, {"trousers": 60}, "the coat maker is ill")
    with database.writing() as tx:
        orders.add_order(tx, shop.id, filed)
        workroom.take_minutes(tx, shop.id, filed.id, (BookedMinutes(TUESDAY, "trousers", 20),))
        workroom.keep_day(tx, shop.id, TUESDAY, KeptDay({"finishing": 7}, {}))
        workroom.keep_day(tx, shop.id, TUESDAY, kept)
        assert ({TUESDAY: {"trousers": BookedAtBench(20)}}, {TUESDAY: kept}) == workroom.days_from(tx, shop.id, MONDAY)
        workroom.keep_day(tx, shop.id, TUESDAY, KeptDay({}, {}))
        assert {} == workroom.days_from(tx, shop.id, MONDAY)[1]


def test_an_answer_is_kept_under_its_key_to_the_letter(database, shop):
    answer = {"b": 1, "a": [0.1, 1e-9, 2**53, "½"], "none": None}
    with database.writing() as tx:
        assert idempotency.claim(tx, shop.id, "place", "k", "digest", OPENING) is None
        idempotency.keep(tx, shop.id, "place", "k", answer, "de")
    with database.writing() as tx:
        kept = idempotency.claim(tx, shop.id, "place", "k", "other", OPENING)
    assert ("digest", list(answer.items()), "de") == (kept.digest, list(kept.answer.items()), kept.said_in)


@pytest.mark.parametrize("hours", [-12, -3.5, 0, 1, 5.75, 14])
def test_a_time_comes_back_as_the_same_moment_in_utc(database, hours):
    moment = datetime(2026, 6, 1, 12, 0, 0, 123456, tzinfo=timezone(timedelta(hours=hours)))
    times = Table("times", MetaData(), Column("at", UtcDateTime), prefixes=["TEMPORARY"])
    with database.writing() as tx:
        times.create(tx)
        tx.execute(insert(times).values(at=moment))
        found = tx.execute(select(times.c.at)).scalar_one()
        times.drop(tx)
    assert (moment, UTC) == (found, found.tzinfo)


def test_no_time_stays_no_time(database, shop):
    kept = Key(new_id(), shop.id, "till", "0" * 64, frozenset({"order"}), created_at=OPENING)
    with database.writing() as tx:
        keys.add_key(tx, kept)
        assert None is keys.find_key(tx, kept.id)[0].revoked_at
