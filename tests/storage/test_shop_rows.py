from sqlalchemy import Column, MetaData, Table, insert, select, update

from service.storage import charts, keys, shops
from service.storage.keys import Key
from service.storage.shops import Shop
from service.storage.tables import shops as shops_table
from service.tailoring import tables
from service.tailoring.fitting.fit_points import Band
from service.tailoring.fitting.own_fit_points import OwnLook, OwnPoint
from service.tailoring.garments.charts import ChartHead, chart
from service.tailoring.garments.places import OwnEase
from service.tailoring.quantities import Length, inches
from service.tailoring.work.prices import PriceBand, PriceList, PriceModifier
from service.tailoring.workroom.weeks import Week
from tests.days import MONDAY, OPENING, SUMMER_IN_DUBLIN, WEDNESDAY
from tests.shops import new_id


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
    loaded = chart(head, tables.rows("garments/reference_chart"), 3)
    with database.writing() as tx:
        charts.add_chart(tx, shop.id, loaded, OPENING)
    with database.reading() as tx:
        found = charts.find_chart(tx, shop.id, "everyday")
    assert [getattr(loaded, part) for part in loaded.__slots__] == [getattr(found, part) for part in found.__slots__]


def test_a_chart_of_pairs_comes_back_with_its_drop(database, shop):
    head = ChartHead("pairs", "Pairs", "in", "pairs", Length(inches(6), "in"))
    rows = [row for row in tables.rows("garments/reference_chart") if row["label"] in ("36R", "38R", "30", "32")]
    loaded = chart(head, rows)
    with database.writing() as tx:
        charts.add_chart(tx, shop.id, loaded, OPENING)
        found = charts.find_chart(tx, shop.id, "pairs")
    assert (loaded.drop_mm, "pairs") == (found.drop_mm, found.sold)


def test_the_newest_revision_of_a_chart_is_the_one_that_is_found(database, shop):
    rows = tables.rows("garments/reference_chart")
    with database.writing() as tx:
        assert 0 == charts.last_revision(tx, shop.id, "everyday")
        for revision in (1, 2):
            charts.add_chart(tx, shop.id, chart(ChartHead("everyday", "Everyday"), rows, revision), OPENING)
    with database.reading() as tx:
        assert (2, ("everyday",)) == (charts.find_chart(tx, shop.id, "everyday").revision, charts.codes(tx, shop.id))


def test_a_revision_is_found_by_its_number(database, shop):
    with database.writing() as tx:
        for revision, title in ((1, "First"), (2, "Second")):
            loaded = chart(ChartHead("everyday", title), tables.rows("garments/reference_chart"), revision)
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
