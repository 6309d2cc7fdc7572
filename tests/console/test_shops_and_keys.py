import re

import pytest

from tests.client import Client
from tests.console.commands import OPEN_SHOP, told
from tests.http.sheets import SLIM
from tests.shops import new_house


def test_a_shop_is_opened_and_a_key_of_it_works_until_it_is_revoked(console, shop_id, house):
    key = console("add-key", shop_id, "till", "--scope", "advise", "--scope", "order").output.strip()
    client = Client(house.contract, key)
    assert (200, 200, 403) == (
        client.get("/v1/charts").status,
        client.get("/v1/orders").status,
        client.post("/v1/measurement-sets", {"readings": SLIM}).status,
    )
    assert "revoked\n" == console("revoke-key", key).output
    assert 401 == client.get("/v1/charts").status


def test_a_key_is_revoked_by_its_first_part_alone(console, shop_id):
    key = console("add-key", shop_id, "till", "--scope", "advise").output.strip()
    assert "revoked\n" == console("revoke-key", key.partition(".")[0]).output


def test_a_key_cannot_be_revoked_twice(console, shop_id):
    key = console("add-key", shop_id, "till", "--scope", "advise").output.strip()
    console("revoke-key", key)
    assert "Error: The key is wrong, unknown or revoked." == told(console("revoke-key", key))


def test_a_key_of_no_shop_is_refused(console):
    assert "Error: No shop has the id 'none'." == told(console("add-key", "none", "till", "--scope", "advise"))


def test_a_key_is_replaced_by_a_new_one(console, shop_id, house):
    old = console("add-key", shop_id, "till", "--scope", "advise", "--days", "365").output.strip()
    new = console("rotate-key", old.partition(".")[0], "--overlap-hours", "1").output.strip()
    assert [200, 200] == [Client(house.contract, key).get("/v1/charts").status for key in (old, new)]
    assert "in use until" in console("list-keys", shop_id).output


def test_a_key_that_goes_on_serving_is_named_without_its_secret(console, shop_id):
    key = console("add-key", shop_id, "till", "--scope", "advise").output.strip()
    refused = console("rotate-key", key)
    assert 2 == refused.exit_code
    assert "the part before the dot" in refused.output
    assert key.partition(".")[2] not in refused.output


def test_keys_are_listed_with_their_state_and_use_and_without_their_secret(console, shop_id, house):
    till = console("add-key", shop_id, "the till", "--scope", "order", "--scope", "advise").output.strip()
    web = console(
        "add-key", shop_id, "page", "--scope", "advise", "--origin", "https://shop.example", "--per-minute", "300"
    ).output.strip()
    console("revoke-key", web)
    before = console("list-keys", shop_id).output
    assert f"{till.partition('.')[0]}  in use  advise,order  never used  the till\n" in before
    assert re.search(
        rf"{web.partition('.')[0]}  revoked [0-9-]{{10}}  advise  never used  page\n    https://shop", before
    )
    # The console keeps real time, the tests' service its own.
    Client(house.contract, till).get("/v1/charts")
    assert "used 2026-03-02 09h" in console("list-keys", shop_id).output
    assert [] == [key for key in (till, web) if key.partition(".")[2] in before]


@pytest.mark.parametrize(
    "words", [["--origin", "shop.example"], ["--origin", "https://shop.example", "--scope", "measure"]]
)
def test_a_web_key_that_would_open_more_than_advice_is_refused(console, shop_id, words):
    assert told(console("add-key", shop_id, "page", "--scope", "advise", *words)).startswith("Error: ")


@pytest.mark.parametrize("words", [["--days", "0"], ["--per-minute", "0"], ["--days", "soon"]])
def test_a_keys_life_and_rate_are_at_least_one(console, shop_id, words):
    assert 2 == console("add-key", shop_id, "till", "--scope", "advise", *words).exit_code


def test_readings_are_kept_for_as_long_as_the_operator_says(console, shop_id):
    assert "readings are kept for 30 days\n" == console("keep-readings", shop_id, "--days", "30").output
    assert "Error: No shop has the id 'none'." == told(console("keep-readings", "none", "--days", "30"))
    assert 2 == console("keep-readings", shop_id, "--days", "0").exit_code


def test_what_was_kept_for_long_enough_is_forgotten(console, shop_id, house):
    key = console("add-key", shop_id, "till", "--scope", "measure").output.strip()
    client = Client(house.contract, key)
    recorded = client.post("/v1/measurement-sets", {"readings": SLIM}).body["id"]
    console("keep-readings", shop_id, "--days", "1")
    # The console keeps real time; the tests' service plays in March.
    said = console("forget-expired").output
    assert re.fullmatch(
        r"forgotten: [1-9][0-9]* measurement sets, [0-9]+ fit checks, [0-9]+ answers, [0-9]+ disclosures, "
        r"[0-9]+ kept advice\n",
        said,
    )
    assert 404 == client.get(f"/v1/measurement-sets/{recorded}").status


def test_a_shops_own_men_are_counted_shown_and_set_aside(console, shop_id):
    assert f"{shop_id}: too few new customers\n" in console("count-men").output
    assert "not counted yet: judged by men in general\n" == console("show-men", shop_id).output
    assert "judged by everyone\n" == console("judge-by", shop_id, "--by", "everyone").output
    assert shop_id not in console("count-men").output
    assert "judged by own\n" == console("judge-by", shop_id, "--by", "own").output
    assert "Error: No shop has the id 'none'." == told(console("judge-by", "none", "--by", "own"))


def test_readings_are_sealed_with_a_key_of_the_console(console, empty_url):
    # A database of its own: what other tests sealed, this key does not open.
    url = empty_url
    console("migrate", FITTING_DATABASE_URL=url)
    shop_id = console(*OPEN_SHOP, FITTING_DATABASE_URL=url).output.strip()
    key = console("add-key", shop_id, "till", "--scope", "measure", FITTING_DATABASE_URL=url).output.strip()
    house = new_house(url)
    Client(house.contract, key).post("/v1/measurement-sets", {"readings": SLIM})

    def kept():
        with house.context.database.reading() as tx:
            return str(tx.exec_driver_sql("SELECT content FROM measurement_sets").all())

    new, other = (console("new-readings-key").output.strip() for _ in range(2))
    assert "chest_girth" in kept()
    assert "sealed\n" == console("reseal", FITTING_DATABASE_URL=url, FITTING_READINGS_KEYS=new).output
    assert ("chest_girth" in kept(), "gAAAA" in kept()) == (False, True)
    line = told(console("reseal", FITTING_DATABASE_URL=url, FITTING_READINGS_KEYS=other))
    assert "FITTING_READINGS_KEYS" in line
    house.context.database.close()


def test_the_keys_of_no_shop_are_not_listed(console):
    assert "Error: No shop has the id 'none'." == told(console("list-keys", "none"))


@pytest.mark.parametrize("words", [["--scope", "everything"], []])
def test_a_key_needs_scopes_that_there_are(console, shop_id, words):
    assert 2 == console("add-key", shop_id, "till", *words).exit_code


@pytest.mark.parametrize("zone", ["Europe/Nowhere", "", "../etc/passwd", "GMT+25"])
def test_a_time_zone_that_is_none_is_refused(console, zone):
    words = [zone if word == "Europe/Dublin" else word for word in OPEN_SHOP]
    assert f"Error: '{zone}' is not an IANA time zone." == told(console(*words))


@pytest.mark.parametrize("currency", ["euro", "eur", "E", ""])
def test_a_currency_that_is_none_is_refused(console, currency):
    words = [currency if word == "EUR" else word for word in OPEN_SHOP]
    assert 2 == console(*words).exit_code


@pytest.mark.parametrize("name", ["x" * 81, "", "two\nlines"])
def test_a_name_is_of_1_to_80_characters(console, shop_id, name):
    assert 2 == console("add-shop", name, *OPEN_SHOP[2:]).exit_code
    assert 2 == console("add-key", shop_id, name, "--scope", "advise").exit_code


def test_a_tax_category_is_of_1_to_24_characters(console):
    assert 2 == console(*OPEN_SHOP, "--tax-category", "x" * 25).exit_code


@pytest.mark.parametrize("price", ["0", "-1", "12.50", "1000001"])
def test_a_plain_hem_costs_something_and_no_fortune(console, price):
    words = [price if word == "1200" else word for word in OPEN_SHOP]
    assert 2 == console(*words).exit_code


def test_what_slips_say_of_the_shop_is_said_from_the_console(console):
    shop = console(*OPEN_SHOP).output.strip()
    assert "said\n" == console("say-on-slips", shop, "--ready-from", "16:00", "--ask-at", "the counter").output
    wrong = console("say-on-slips", shop, "--ready-from", "4 pm")
    assert (2, True) == (wrong.exit_code, "an hour of the day, such as 16:00" in wrong.output)
    assert 1 == console("say-on-slips", "no-such-shop", "--ask-at", "x").exit_code


def test_who_may_check_what_is_sewn_is_said_from_the_console(console):
    shop = console(*OPEN_SHOP).output.strip()
    assert "checked by anyone\n" == console("let-check", shop, "--by", "anyone").output
    assert "checked by another\n" == console("let-check", shop, "--by", "another").output
    assert 2 == console("let-check", shop).exit_code
    assert 1 == console("let-check", "no-such-shop", "--by", "anyone").exit_code
