import json
import re
import subprocess
import sys

import pytest
from click.testing import CliRunner

from service.console import CONTRACT, HOUSE, main
from tests.client import Client
from tests.http.sheets import SLIM
from tests.shops import new_house

CHART = """garment,label,body,length_class,chest,waist,sleeve,back_length,inside_leg
jacket,36R,36,regular,40,34,24 1/2,29 1/2,
jacket,38R,38,regular,42,36,24 3/4,29 3/4,
trousers,30,30,regular,,30 3/4,,,36
trousers,32,32,regular,,32 3/4,,,36
"""
OPEN_SHOP = ["add-shop", "Corner Tailors", "--time-zone", "Europe/Dublin", "--currency", "EUR", "--plain-hem", "1200"]


@pytest.fixture
def console(database_url):
    def say(*words, **settings):
        environment = {"FITTING_DATABASE_URL": database_url, **settings}
        return CliRunner().invoke(main, list(words), env=environment)

    return say


@pytest.fixture
def shop_id(console):
    return console(*OPEN_SHOP).output.strip()


@pytest.fixture
def chart_file(tmp_path):
    def write(text, encoding="utf-8"):
        path = tmp_path / "chart.csv"
        path.write_text(text, encoding)
        return str(path)

    return write


def told(result):
    """What went wrong, when that is one line and no traceback."""
    assert 1 == result.exit_code, result.output
    assert "Traceback" not in result.output
    (line,) = result.output.strip().splitlines()
    return line


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
    new = console("rotate-key", old, "--overlap-hours", "1").output.strip()
    assert [200, 200] == [Client(house.contract, key).get("/v1/charts").status for key in (old, new)]
    assert "in use until" in console("list-keys", shop_id).output


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
        r"forgotten: [1-9][0-9]* measurement sets, [0-9]+ fit checks, [0-9]+ answers, [0-9]+ disclosures\n", said
    )
    assert 404 == client.get(f"/v1/measurement-sets/{recorded}").status


def test_readings_are_sealed_with_a_key_of_the_console(console, empty_url):
    # A database of its own: what other tests sealed, this key does not open.
    url = empty_url
    console("migrate", FITTING_DATABASE_URL=url)
    shop_id = console(*OPEN_SHOP, FITTING_DATABASE_URL=url).output.strip()
    key = console("add-key", shop_id, "till", "--scope", "measure", FITTING_DATABASE_URL=url).output.strip()
    house = new_house(url)
    Client(house.contract, key).post("/v1/measurement-sets", {"readings": SLIM})

    def kept():
        with house.desk.database.reading() as tx:
            return str(tx.exec_driver_sql("SELECT content FROM measurement_sets").all())

    new, other = (console("new-readings-key").output.strip() for _ in range(2))
    assert "chest_girth" in kept()
    assert "sealed\n" == console("reseal", FITTING_DATABASE_URL=url, FITTING_READINGS_KEYS=new).output
    assert ("chest_girth" in kept(), "gAAAA" in kept()) == (False, True)
    line = told(console("reseal", FITTING_DATABASE_URL=url, FITTING_READINGS_KEYS=other))
    assert "FITTING_READINGS_KEYS" in line
    house.desk.database.close()


def test_the_keys_of_no_shop_are_not_listed(console):
    assert "Error: No shop has the id 'none'." == told(console("list-keys", "none"))


@pytest.mark.parametrize("words", [["--scope", "everything"], []])
def test_a_key_needs_scopes_that_there_are(console, shop_id, words):
    assert 2 == console("add-key", shop_id, "till", *words).exit_code


@pytest.mark.parametrize("zone", ["Europe/Nowhere", "", "../etc/passwd", "GMT+25"])
def test_a_time_zone_that_is_none_is_refused(console, zone):
    words = [zone if word == "Europe/Dublin" else word for word in OPEN_SHOP]
    assert f"Error: '{zone}' is no IANA time zone." == told(console(*words))


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


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig"])
def test_a_chart_is_loaded_and_serves(console, shop_id, house, chart_file, encoding):
    words = ["load-chart", shop_id, "everyday", chart_file(CHART, encoding), "--title", "Everyday"]
    assert "everyday revision 1: 2 jackets, 2 trousers\n" == console(*words).output
    assert "everyday revision 2: 2 jackets, 2 trousers\n" == console(*words, "--worked-buttonholes").output
    client = Client(house.contract, console("add-key", shop_id, "web", "--scope", "advise").output.strip())
    chart = client.get("/v1/charts/everyday").body
    assert (2, True, True) == (chart["revision"], chart["worked_buttonholes"], chart["unfinished"])
    assert "everyday" == client.post("/v1/size-advice", {"readings": SLIM}).body["plans"][0]["jacket"]["chart"]


JSON_CHART = {
    "title": "Everyday",
    "unit": "in",
    "sold": "separates",
    "sizes": [
        {"garment": "jacket", "label": "36R", "body": 36, "chest": 40, "waist": 34, "sleeve": "24 1/2",
         "back_length": 29.5},
        {"garment": "trousers", "label": "30", "body": 30, "waist": "30 3/4", "inside_leg": 36},
        {"garment": "waistcoat", "label": "36", "body": 36, "chest": 38.5, "waist": 32},
    ],
}  # fmt: skip


@pytest.fixture
def json_file(tmp_path):
    def write(document):
        path = tmp_path / "chart.json"
        path.write_text(document if isinstance(document, str) else json.dumps(document), "utf-8")
        return str(path)

    return write


def test_a_chart_is_loaded_from_json_and_says_everything_itself(console, shop_id, house, json_file):
    words = ["load-chart", shop_id, "everyday", json_file(JSON_CHART | {"unfinished": False})]
    line = "everyday revision 1: 1 jackets, 1 trousers, 1 waistcoats"
    assert [f"{line}\n", f"{line}; it was so already\n"] == [console(*words).output for _ in range(2)]
    client = Client(house.contract, console("add-key", shop_id, "web", "--scope", "advise").output.strip())
    chart = client.get("/v1/charts/everyday").body
    assert ("Everyday", False) == (chart["title"], chart["unfinished"])


def test_a_csv_file_and_a_json_file_of_one_shape_are_one_chart(console, shop_id, chart_file, json_file):
    rows = "jacket,36R,36,regular,40,34,24 1/2,29 1/2,\ntrousers,30,30,,,30 3/4,,,36\nwaistcoat,36,36,,38.5,32,,,\n"
    words = ["load-chart", shop_id, "everyday"]
    console(*words, chart_file(CHART.splitlines(keepends=True)[0] + rows), "--title", "Everyday")
    assert "it was so already" in console(*words, json_file(JSON_CHART)).output


@pytest.mark.parametrize(
    ("document", "words"),
    [
        ("{", "cannot be read"),
        ("[]", "/: "),
        (JSON_CHART | {"sizes": []}, "/sizes: "),
        (JSON_CHART | {"title": 1, "colour": "navy"}, "/colour: "),
        (JSON_CHART | {"sizes": [JSON_CHART["sizes"][0] | {"waist": "wide"}]}, "row 1, waist: "),
        (JSON_CHART | {"sold": "pairs", "drop": "six"}, ""),
    ],
    ids=str,
)
def test_json_that_is_no_chart_is_refused_in_a_line(console, shop_id, json_file, document, words):
    assert words.replace("cannot be read", "") in told(console("load-chart", shop_id, "everyday", json_file(document)))


def test_what_a_json_file_says_is_not_said_again(console, shop_id, json_file):
    words = ["load-chart", shop_id, "everyday", json_file(JSON_CHART)]
    answer = console(*words, "--title", "Mine", "--finished-legs")
    assert (2, True) == (answer.exit_code, "--title, --finished-legs" in answer.output)


def test_a_csv_file_needs_a_title(console, shop_id, chart_file):
    assert 2 == console("load-chart", shop_id, "everyday", chart_file(CHART)).exit_code


def test_a_bad_chart_is_refused_with_every_fault_and_its_row(console, shop_id, chart_file):
    bad = CHART.replace("jacket,38R,38,regular,42", "jacket,38R,38,regular,4two").replace("32 3/4", "")
    line = told(console("load-chart", shop_id, "everyday", chart_file(bad), "--title", "Everyday"))
    assert ("row 2, chest" in line, "row 4, waist" in line) == (True, True), line


def test_a_chart_that_does_not_grow_is_refused(console, shop_id, chart_file):
    bad = CHART.replace("regular,42,36", "regular,39,36")
    assert "row 2" in told(console("load-chart", shop_id, "everyday", chart_file(bad), "--title", "Everyday"))


@pytest.mark.parametrize("text", ["", "\n", "garment,label\n", "hello", "a,b\n1,2,3\n", '"garment\n'])
def test_a_file_that_is_no_chart_is_refused(console, shop_id, chart_file, text):
    assert told(console("load-chart", shop_id, "everyday", chart_file(text), "--title", "Everyday"))


def test_a_file_that_is_no_text_is_refused(console, shop_id, tmp_path):
    path = tmp_path / "chart.csv"
    path.write_bytes(b"\xff\xfe\x00garment")
    assert "UTF-8" in told(console("load-chart", shop_id, "everyday", str(path), "--title", "Everyday"))


def test_the_services_own_block_cannot_be_replaced(console, shop_id, chart_file):
    words = ["load-chart", shop_id, "reference", chart_file(CHART), "--title", "Mine"]
    assert "Error: 'reference' is the service's own block." == told(console(*words))


@pytest.mark.parametrize("code", ["a b", "x" * 41, "", "é", "a/b"])
def test_a_code_that_no_address_could_name_is_refused(console, shop_id, chart_file, code):
    assert 2 == console("load-chart", shop_id, code, chart_file(CHART), "--title", "Everyday").exit_code


def test_a_chart_of_no_shop_is_refused(console, chart_file):
    line = told(console("load-chart", "none", "everyday", chart_file(CHART), "--title", "Everyday"))
    assert "Error: No shop has the id 'none'." == line


def test_a_new_database_is_migrated_and_then_takes_a_shop(console, empty_url):
    settings = {"FITTING_DATABASE_URL": empty_url}
    assert "migrated to head\n" == console("migrate", **settings).output
    assert 36 == len(console(*OPEN_SHOP, **settings).output.strip())


@pytest.mark.parametrize(
    ("settings", "line"),
    [
        (
            {"FITTING_DATABASE_URL": "mysql://root@localhost/x"},
            (
                "FITTING_DATABASE_URL is no address; "
                "right would be sqlite:///path or postgresql+psycopg://user@host/name"
            ),
        ),
        ({"FITTING_BIND": "8080"}, "FITTING_BIND is '8080'; right would be host:port or unix:path"),
        ({"FITTING_WORKERS": "many"}, "FITTING_WORKERS is 'many'; right would be 1 to 99"),
    ],
    ids=["database", "bind", "workers"],
)
@pytest.mark.parametrize("command", ["serve", "migrate", "revoke-key"])
def test_a_wrong_setting_is_told_in_one_line(console, command, settings, line):
    words = [command, "x"] if command == "revoke-key" else [command]
    assert f"Error: {line}" == told(console(*words, **settings))


@pytest.mark.parametrize("command", [["migrate"], ["revoke-key", "x"]])
def test_a_database_that_is_away_is_told_in_one_line(console, nowhere_url, command):
    away = {"FITTING_DATABASE_URL": nowhere_url}
    assert "the database does not answer" in told(console(*command, **away))


def test_the_committed_contract_is_what_the_code_says(console):
    result = console("write-contract", "--check")
    assert (0, "") == (result.exit_code, result.output)


def test_writing_the_contract_that_is_written_changes_nothing(console):
    before = CONTRACT.read_bytes()
    # Only where the two agree: else this very test would write what the one above finds missing.
    assert 0 == console("write-contract", "--check").exit_code
    assert "" == console("write-contract").output
    assert before == CONTRACT.read_bytes()


def test_it_runs_as_a_module_and_names_its_commands():
    said = subprocess.run(
        [sys.executable, "-m", "service", "--help"], cwd=HOUSE, check=True, capture_output=True, text=True
    ).stdout
    commands = (
        "serve",
        "migrate",
        "add-shop",
        "add-key",
        "list-keys",
        "rotate-key",
        "revoke-key",
        "load-chart",
        "write-contract",
    )
    assert [] == [command for command in commands if command not in said]
