import json

import pytest

from tests.client import Client
from tests.console.commands import told
from tests.http.sheets import SLIM

CHART = """garment,label,body,length_class,chest,waist,sleeve,back_length,inside_leg
jacket,36R,36,regular,40,34,24 1/2,29 1/2,
jacket,38R,38,regular,42,36,24 3/4,29 3/4,
trousers,30,30,regular,,30 3/4,,,36
trousers,32,32,regular,,32 3/4,,,36
"""


@pytest.fixture
def chart_file(tmp_path):
    def write(text, encoding="utf-8"):
        path = tmp_path / "chart.csv"
        path.write_text(text, encoding)
        return str(path)

    return write


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
    assert [f"{line}\n", f"{line}; no change\n"] == [console(*words).output for _ in range(2)]
    client = Client(house.contract, console("add-key", shop_id, "web", "--scope", "advise").output.strip())
    chart = client.get("/v1/charts/everyday").body
    assert ("Everyday", False) == (chart["title"], chart["unfinished"])


def test_a_csv_file_and_a_json_file_of_one_shape_are_one_chart(console, shop_id, chart_file, json_file):
    rows = "jacket,36R,36,regular,40,34,24 1/2,29 1/2,\ntrousers,30,30,,,30 3/4,,,36\nwaistcoat,36,36,,38.5,32,,,\n"
    words = ["load-chart", shop_id, "everyday"]
    console(*words, chart_file(CHART.splitlines(keepends=True)[0] + rows), "--title", "Everyday")
    assert "no change" in console(*words, json_file(JSON_CHART)).output


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
    assert "Error: 'reference' is the code of the service's own reference block." == told(console(*words))


@pytest.mark.parametrize("code", ["a b", "x" * 41, "", "é", "a/b"])
def test_a_code_that_no_address_could_name_is_refused(console, shop_id, chart_file, code):
    assert 2 == console("load-chart", shop_id, code, chart_file(CHART), "--title", "Everyday").exit_code


def test_a_chart_of_no_shop_is_refused(console, chart_file):
    line = told(console("load-chart", "none", "everyday", chart_file(CHART), "--title", "Everyday"))
    assert "Error: No shop has the id 'none'." == line
