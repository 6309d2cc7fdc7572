import time
import uuid
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import Column, MetaData, Table, insert, select, update

from service.storage import charts, fit_checks, keys, measurement_sets, orders, repeats, shops, workroom
from service.storage.columns import UtcDateTime
from service.storage.database import Database, DatabaseUnavailable
from service.storage.fit_checks import KeptFitCheck
from service.storage.keys import Key
from service.storage.measurement_sets import MeasurementSet
from service.storage.orders import FiledOrder, OrderFilter
from service.storage.shops import Shop
from service.storage.tables import shops as shops_table
from service.tailoring import tables
from service.tailoring.alterations import ALTERED, BASES, DIRECTIONS, SIDES, catalogue
from service.tailoring.amounts import Amount
from service.tailoring.bookings import Taken
from service.tailoring.charts import ChartHead, chart
from service.tailoring.fit_points import Band
from service.tailoring.garment_pieces import LININGS, PATTERNS, GarmentPiece
from service.tailoring.money import Money, PriceBand, PriceList, PriceModifier, Terms
from service.tailoring.order_lines import MARKED_WITH, OrderLine
from service.tailoring.order_states import EVENT_KINDS, STATES, OrderEvent
from service.tailoring.orders import Order, move
from service.tailoring.own_fit_points import OwnLook, OwnPoint
from service.tailoring.places import OwnEase
from service.tailoring.posture import PostureNote
from service.tailoring.quantities import Length, Mass, inches
from service.tailoring.readings import Reading
from service.tailoring.workroom import Held, KeptDay, Week
from tests.days import MONDAY, OPENING, TUESDAY, WEDNESDAY
from tests.documents.orders import an_order

SUMMER_IN_DUBLIN = datetime(2026, 6, 1, 12, 0, 0, 123456, tzinfo=timezone(timedelta(hours=1)))


def new_id():
    return str(uuid.uuid4())


@pytest.fixture
def database(desk):
    return desk.database


# ---------------------------------------------------------------- rows to values and back


def test_a_shop_comes_back_as_it_was_kept(database):
    bands = (PriceBand("trouser_hem", Length(50.8, "in"), 1900),)
    raised = (PriceModifier("cloth", "Köper", 12), PriceModifier("lining", "full", 5))
    prices = PriceList("GBP", 1450, 5, 33, "reduced", (("trouser_hem", 1400),), bands, raised, 50, 30)
    week = Week(
        minutes=tuple({"trousers": day, "jackets": 2, "finishing": 3} for day in range(7)),
        fill_percent=70,
        start_after_days=2,
        horizon_days=30,
        closed=frozenset({MONDAY, WEDNESDAY}),
        skilled=({"trousers": 0},) * 7,
        rush_start_after_days=1,
        country="DE",
        subdivision="BY",
    )
    kept = Shop(new_id(), "Müller & Söhne – Maßatelier", "Europe/Berlin", prices, week)
    with database.writing() as tx:
        shops.add_shop(tx, kept, OPENING)
    with database.reading() as tx:
        assert kept == shops.find_shop(tx, kept.id)


def test_a_shops_own_fit_points_come_back_as_they_were_kept(database):
    looks = (
        OwnLook("pulls", "too_little", ("Bauch",), ("jacket_waist_out", "eine Größe größer")),
        OwnLook("strains_seated", "too_little", (), ("jacket_waist_out",)),
    )
    own = (
        OwnPoint("front_closure", Band(19.05, (12.7, 25.4), (-6.35, 50.8)), looks, "unser Zuschneider"),
        OwnPoint("lapel", None, (OwnLook("flat", "right", (), ()),), "unser Zuschneider"),
    )
    kept = Shop(new_id(), "Müller", "Europe/Berlin", PriceList(), Week())
    with database.writing() as tx:
        shops.add_shop(tx, kept, OPENING)
        shops.replace_fit_points(tx, kept.id, own, 2)
    with database.reading() as tx:
        found = shops.find_shop(tx, kept.id)
    assert (own, 2) == (found.fit_points, found.fit_points_version)
    assert hash(own) == hash(found.fit_points)


def test_a_key_comes_back_with_its_shop(database, shop):
    kept = Key(new_id(), shop.id, "till", "0" * 64, frozenset({"order", "advise"}), created_at=OPENING)
    with database.writing() as tx:
        keys.add_key(tx, kept)
    with database.reading() as tx:
        assert (kept, shop.caller.shop) == keys.find_key(tx, kept.id)


def test_a_key_is_revoked_once(database, shop):
    kept = Key(new_id(), shop.id, "till", "0" * 64, frozenset({"order"}), created_at=OPENING)
    with database.writing() as tx:
        keys.add_key(tx, kept)
        assert [True, False] == [keys.revoke_key(tx, kept.id, SUMMER_IN_DUBLIN) for _ in range(2)]
        assert SUMMER_IN_DUBLIN == keys.find_key(tx, kept.id)[0].revoked_at


def test_a_chart_comes_back_with_every_size(database, shop):
    head = ChartHead("everyday", "Everyday ½", "in", "separates", None, unfinished=False, worked_buttonholes=True)
    loaded = chart(head, tables.rows("reference_chart"), 3)
    with database.writing() as tx:
        charts.add_chart(tx, shop.id, loaded, OPENING)
    with database.reading() as tx:
        found = charts.find_chart(tx, shop.id, "everyday")
    assert [getattr(loaded, part) for part in loaded.__slots__] == [getattr(found, part) for part in found.__slots__]


def test_a_chart_of_pairs_comes_back_with_its_drop(database, shop):
    head = ChartHead("pairs", "Pairs", "in", "pairs", Length(inches(6), "in"))
    rows = [row for row in tables.rows("reference_chart") if row["label"] in ("36R", "38R", "30", "32")]
    loaded = chart(head, rows)
    with database.writing() as tx:
        charts.add_chart(tx, shop.id, loaded, OPENING)
        found = charts.find_chart(tx, shop.id, "pairs")
    assert (loaded.drop_mm, "pairs") == (found.drop_mm, found.sold)


def test_the_newest_revision_of_a_chart_is_the_one_that_is_found(database, shop):
    rows = tables.rows("reference_chart")
    with database.writing() as tx:
        assert 0 == charts.last_revision(tx, shop.id, "everyday")
        for revision in (1, 2):
            charts.add_chart(tx, shop.id, chart(ChartHead("everyday", "Everyday"), rows, revision), OPENING)
    with database.reading() as tx:
        assert (2, ("everyday",)) == (charts.find_chart(tx, shop.id, "everyday").revision, charts.codes(tx, shop.id))


def test_a_revision_is_found_by_its_number(database, shop):
    with database.writing() as tx:
        for revision, title in ((1, "First"), (2, "Second")):
            loaded = chart(ChartHead("everyday", title), tables.rows("reference_chart"), revision)
            charts.add_chart(tx, shop.id, loaded, OPENING)
    with database.reading() as tx:
        found = [charts.find_chart(tx, shop.id, "everyday", revision) for revision in (1, 2, 3, None)]
    assert ["First", "Second", None, "Second"] == [each and each.title for each in found]


def test_a_price_list_of_before_there_were_bands_still_counts(database, shop):
    old = {"currency": "GBP", "plain_hem_minor": 1500, "round_to_minor": 50, "minute_minor": 31}
    old |= {"tax_category": "standard", "fixed_minor": [["trouser_hem", 0]]}
    with database.writing() as tx:
        tx.execute(update(shops_table).where(shops_table.c.id == shop.id).values(prices=old))
        found = shops.find_shop(tx, shop.id).prices
    assert PriceList("GBP", 1500, 50, 31, fixed_minor=(("trouser_hem", 0),)) == found


EASE = (
    OwnEase("jacket", "chest", (("close", 76.2), ("usual", 88.9), ("easy", 114.3)), -12.7, 38.1),
    OwnEase("trousers", "inside_leg", (("close", -44.45), ("usual", -44.45), ("easy", -44.45)), 0.0, 3.175),
)


def test_a_shop_comes_back_with_its_own_tables_and_their_versions(database, shop):
    prices = PriceList("GBP", 1500, fixed_minor=(("trouser_hem", 0),))
    with database.writing() as tx:
        shops.replace_ease(tx, shop.id, EASE, 2)
        shops.replace_prices(tx, shop.id, prices, 5)
    with database.reading() as tx:
        found = shops.find_shop(tx, shop.id)
    assert (EASE, 2, prices, 5) == (found.ease, found.ease_version, found.prices, found.prices_version)


def test_a_shop_that_the_release_before_opens_has_no_ease_of_its_own_and_first_versions(database, shop):
    added = {"ease", "prices_version", "ease_version"}
    old = Table("shops", MetaData(), *(Column(c.name, c.type) for c in shops_table.c if c.name not in added))
    with database.writing() as tx:
        row = tx.execute(select(old).where(old.c.id == shop.id)).one()._asdict()
        opened = row | {"id": new_id()}
        tx.execute(insert(old).values(opened))
        found = shops.find_shop(tx, opened["id"])
    assert ((), 1, 1) == (found.ease, found.ease_version, found.prices_version)


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
    taken_by=st.none() | st.just("ann"),
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
    state=st.sampled_from(STATES),
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
)
quick = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


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
    kept = KeptFitCheck(new_id(), "C-1", 812.34567890123, [{"garments": [], "lines": []}], answer, SUMMER_IN_DUBLIN)
    with database.writing() as tx:
        fit_checks.add_fit_check(tx, shop.id, kept)
    with database.reading() as tx:
        assert kept == fit_checks.find_fit_check(tx, shop.id, kept.id)


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


def test_what_a_move_changes_is_filed_with_a_new_version(database, shop):
    first = FiledOrder(new_id(), 1, new_id(), an_order(number="1001"))
    said = {"pins_in": 2, "reason": "côté – gauche"}
    moved = move(first.order, "cancelled", "bob", SUMMER_IN_DUBLIN, "note ½", **said)
    with database.writing() as tx:
        orders.add_order(tx, shop.id, first)
        filed = orders.file_change(tx, first, moved)
    with database.reading() as tx:
        found = orders.find_order(tx, shop.id, first.id)
    assert filed == found
    assert (2, "cancelled", said) == (found.version, found.order.state, dict(found.order.events[-1].facts))


def test_an_order_is_listed_as_it_is_filed(database, shop):
    filed = FiledOrder(new_id(), 1, new_id(), an_order(number="1001"))
    with database.writing() as tx:
        orders.add_order(tx, shop.id, filed)
        (listed,) = orders.list_orders(tx, shop.id, OrderFilter(), 10)
    parts = ("number", "state", "customer_ref", "sale_ref", "needed_by", "promised_for")
    assert [getattr(filed.order, part) for part in parts] == [getattr(listed, part) for part in parts]


def test_bookings_add_up_beside_the_days_and_are_given_back(database, shop):
    filed = [FiledOrder(new_id(), 1, new_id(), an_order(number=number)) for number in ("1", "2")]
    taken = (Taken(TUESDAY, "trousers", 20, 5), Taken(WEDNESDAY, "trousers", 7, reserve=True))
    with database.writing() as tx:
        for each in filed:
            orders.add_order(tx, shop.id, each)
            workroom.take_minutes(tx, shop.id, each.id, taken)
        assert taken == workroom.bookings_of(tx, filed[0].id)
        tuesday, wednesday = {"trousers": Held(40, 10)}, {"trousers": Held(14, 0, 14)}
        assert {TUESDAY: tuesday, WEDNESDAY: wednesday} == workroom.days_from(tx, shop.id, MONDAY)[0]
        assert {WEDNESDAY: wednesday} == workroom.days_from(tx, shop.id, WEDNESDAY)[0]
        assert {TUESDAY: tuesday} == workroom.days_from(tx, shop.id, MONDAY, TUESDAY)[0]
        assert taken == workroom.free_minutes(tx, shop.id, filed[0].id)
        left = {TUESDAY: {"trousers": Held(20, 5)}, WEDNESDAY: {"trousers": Held(7, 0, 7)}}
        assert left == workroom.days_from(tx, shop.id, MONDAY)[0] == workroom.booked_by_order(tx, shop.id, MONDAY)
        assert ((), taken) == tuple(workroom.bookings_of(tx, each.id) for each in filed)


def test_minutes_are_given_back_from_a_day_on_and_at_some_benches(database, shop):
    filed = FiledOrder(new_id(), 1, new_id(), an_order(number="1"))
    taken = tuple(Taken(day, bench, 10) for day in (TUESDAY, WEDNESDAY) for bench in ("finishing", "trousers"))
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
        workroom.take_minutes(tx, shop.id, filed.id, (Taken(TUESDAY, "trousers", 20),))
        workroom.keep_day(tx, shop.id, TUESDAY, KeptDay({"finishing": 7}, {}))
        workroom.keep_day(tx, shop.id, TUESDAY, kept)
        assert ({TUESDAY: {"trousers": Held(20)}}, {TUESDAY: kept}) == workroom.days_from(tx, shop.id, MONDAY)
        workroom.keep_day(tx, shop.id, TUESDAY, KeptDay({}, {}))
        assert {} == workroom.days_from(tx, shop.id, MONDAY)[1]


def test_an_answer_is_kept_under_its_key_to_the_letter(database, shop):
    answer = {"b": 1, "a": [0.1, 1e-9, 2**53, "½"], "none": None}
    with database.writing() as tx:
        assert repeats.claim(tx, shop.id, "place", "k", "digest", OPENING) is None
        repeats.keep(tx, shop.id, "place", "k", answer)
    with database.writing() as tx:
        kept = repeats.claim(tx, shop.id, "place", "k", "other", OPENING)
    assert ("digest", list(answer.items())) == (kept.digest, list(kept.answer.items()))


# ---------------------------------------------------------------- times


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


# ---------------------------------------------------------------- transactions


class Broke(Exception):
    pass


def test_a_transaction_that_breaks_leaves_nothing(database):
    kept = Shop(new_id(), "A", "UTC", PriceList(), Week())

    def half():
        with database.writing() as tx:
            shops.add_shop(tx, kept, OPENING)
            raise Broke

    with pytest.raises(Broke):
        half()
    with database.reading() as tx:
        assert None is shops.find_shop(tx, kept.id)


def test_what_is_written_while_reading_is_undone(database):
    kept = Shop(new_id(), "A", "UTC", PriceList(), Week())
    with database.reading() as tx:
        shops.add_shop(tx, kept, OPENING)
    with database.reading() as tx:
        assert None is shops.find_shop(tx, kept.id)


def test_a_locked_database_is_unavailable_after_the_wait_and_nothing_is_half_written(house, shop):
    with closing(Database(house.url, wait_seconds=1)) as other, house.desk.database.writing() as tx:
        shops.next_order_number(tx, shop.id)
        with pytest.raises(DatabaseUnavailable), other.writing() as waiting:
            shops.next_order_number(waiting, shop.id)
    with house.desk.database.writing() as tx:
        assert 1002 == shops.next_order_number(tx, shop.id)


def test_who_is_not_patient_is_told_at_once_and_the_next_one_waits_again(house, shop):
    with closing(Database(house.url, wait_seconds=2)) as other:
        took = {}
        for patient in (False, True):
            with house.desk.database.writing() as tx:
                shops.next_order_number(tx, shop.id)
                began = time.monotonic()
                with pytest.raises(DatabaseUnavailable), other.writing(patient=patient) as waiting:
                    shops.next_order_number(waiting, shop.id)
                took[patient] = time.monotonic() - began
    assert took[False] < 1.9 <= took[True]


def test_a_database_that_is_not_there_is_unavailable(nowhere_url):
    with closing(Database(nowhere_url, wait_seconds=1)) as database:
        assert not database.answers()
        with pytest.raises(DatabaseUnavailable), database.writing():
            pass


def test_a_connection_that_is_cut_is_told_and_the_next_one_works(postgres_url):
    with closing(Database(postgres_url)) as database, closing(Database(postgres_url)) as other:

        def cut():
            with database.writing() as tx:
                process = tx.exec_driver_sql("SELECT pg_backend_pid()").scalar_one()
                with other.writing() as beside:
                    beside.exec_driver_sql("SELECT pg_terminate_backend(%s)", (process,))
                tx.exec_driver_sql("SELECT 1")

        with pytest.raises(DatabaseUnavailable):
            cut()
        assert database.answers()
