"""Who may use a shared tablet: short codes, lock-out, automatic lock, and a `by` that no page can choose."""

import csv
import json
import os
import re
import socket
import subprocess
import sys
import tomllib
from urllib.request import urlopen

import pytest

from tests.demo.floor.floors import CODES, WORDS, floor, keys_of, signed_up, staff
from tests.house import HOUSE
from tests.http.sheets import TROUSERS, WAIST_IN
from tests.serving import serving

ORIGIN = {"Origin": "http://localhost"}


class Hands:
    """A clock that is turned by hand."""

    def __init__(self):
        self.at = 1000.0

    def __call__(self):
        return self.at


@pytest.fixture(scope="module")
def members(tmp_path_factory):
    """Nobody changes them; to hash their codes takes half a second."""
    return signed_up(tmp_path_factory.mktemp("floor") / "staff.json")


@pytest.fixture
def hands():
    return Hands()


@pytest.fixture
def door(members, hands):
    return staff.Door(members, 300.0, hands)


@pytest.fixture
def site(house, shop, members):
    with serving(house.contract.app) as api:
        keys = keys_of(house.context, shop.id)
        app = floor.floor_app(floor.Service(api, keys), members, 300.0)
        yield app, keys


@pytest.fixture
def tablet(site):
    return site[0].test_client()


def sign_in(tablet, who="fitter-1", code=None, **headers):
    return tablet.post("/floor/sign-in", json={"who": who, "code": code or CODES[who]}, headers=ORIGIN | headers)


def test_the_file_of_the_staff_has_references_and_hashes_and_is_its_owners_alone(tmp_path):
    file = tmp_path / "staff.json"
    signed_up(file)
    text = file.read_text("utf-8")
    assert set(CODES) == set(json.loads(text))
    assert not any(f'"{code}"' in text for code in CODES.values())
    assert len(CODES) == text.count('"scrypt:')
    assert 0o600 == file.stat().st_mode & 0o777


@pytest.mark.parametrize(
    ("who", "code", "words"),
    [("Anna Example", "2468", []), ("fitter-2", "12", []), ("fitter-2", "abcd", []), ("fitter-2", "2468", ["owner"])],
)
def test_a_name_a_weak_code_and_an_unknown_right_are_refused(tmp_path, who, code, words):
    with pytest.raises(ValueError, match=r"."):
        staff.add_to(tmp_path / "staff.json", who, code, words)


def test_three_wrong_codes_lock_a_reference_out_for_longer_and_longer_and_others_may_still_sign_in(door, hands):
    for _ in range(3):
        assert door.sign_in("fitter-1", "0000", "tablet-1") is None
    with pytest.raises(staff.WaitFirst) as first:
        door.sign_in("fitter-1", CODES["fitter-1"], "tablet-2")
    assert door.sign_in("tailor-1", CODES["tailor-1"], "tablet-2")
    hands.at += first.value.seconds
    assert door.sign_in("fitter-1", "0000", "tablet-1") is None
    with pytest.raises(staff.WaitFirst) as second:
        door.sign_in("fitter-1", CODES["fitter-1"], "tablet-2")
    assert second.value.seconds == 2 * first.value.seconds
    hands.at += second.value.seconds
    assert door.sign_in("fitter-1", CODES["fitter-1"], "tablet-2")


def test_whoever_tries_one_code_on_many_references_waits_too(door):
    names = [f"fitter-{number}" for number in range(5, 8)]
    assert [None] * 3 == [door.sign_in(each, "0000", "tablet-1") for each in names]
    with pytest.raises(staff.WaitFirst):
        door.sign_in("fitter-8", "0000", "tablet-1")


def test_a_tablet_that_nobody_touches_locks_itself_and_looking_does_not_hold_it_open(door, hands):
    token, _ = door.sign_in("fitter-1", CODES["fitter-1"], "tablet-1")
    hands.at += 200
    assert "fitter-1" == door.who(token).who
    hands.at += 200
    assert door.who(token) is None
    token, _ = door.sign_in("fitter-1", CODES["fitter-1"], "tablet-1")
    hands.at += 200
    assert door.who(token, touched=True)
    hands.at += 200
    assert door.who(token)


def test_nothing_of_the_shop_is_answered_to_a_locked_tablet(tablet):
    answers = [tablet.get("/v1/orders"), tablet.post("/v1/orders", json={}, headers=ORIGIN), tablet.get("/floor/feed")]
    assert [(401, "locked")] * 3 == [(each.status_code, each.json["code"]) for each in answers]


def test_the_cookie_is_for_the_server_alone_and_no_answer_has_a_key(tablet, site):
    answer = sign_in(tablet)
    cookie = answer.headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie
    pages = [
        tablet.get(path, buffered=True)
        for path in ("/", "/page/floor.js", "/page/line.js", "/floor/door", "/v1/charts")
    ]
    assert [200] * 5 == [each.status_code for each in pages]
    assert not [key for each in [answer, *pages] for key in site[1].values() if key in f"{each.data!r} {each.headers}"]


def test_every_answer_forbids_all_but_the_floors_own_files_and_nothing_unsafe_is_allowed(tablet):
    for path in ("/", "/page/floor.css", "/v1/orders", "/nothing-here"):
        policy = tablet.get(path, buffered=True).headers["Content-Security-Policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert "*" not in policy


@pytest.mark.parametrize("origin", [None, "http://another.example", "null", "http://localhost:8000"])
def test_a_change_that_another_page_asks_for_is_refused(tablet, origin):
    sign_in(tablet)
    headers = {} if origin is None else {"Origin": origin}
    for path in ("/v1/orders", "/floor/lock", "/floor/sign-in"):
        answer = tablet.post(path, json={}, headers=headers)
        assert (403, "another_page") == (answer.status_code, answer.json["code"])
    assert "fitter-1" == tablet.get("/floor/door").json["who"]


def test_whoever_is_signed_in_is_the_by_of_the_order_whatever_the_page_says(tablet, shop):
    sign_in(tablet)
    sheet = {"garments": [TROUSERS], "lines": [WAIST_IN], "to_be_pinned": True, "by": "manager-1"}
    placed = tablet.post("/v1/orders", json=sheet, headers=ORIGIN | {"Idempotency-Key": "one"})
    assert 201 == placed.status_code, placed.json
    assert "fitter-1" == shop.staff.get(f"/v1/orders/{placed.json['id']}").body["by"]
    sign_in(tablet, "tailor-1")
    headers = ORIGIN | {"If-Match": shop.staff.get(f"/v1/orders/{placed.json['id']}").headers["ETag"]}
    moved = tablet.post(f"/v1/orders/{placed.json['id']}/moves", json={"to": "accepted"}, headers=headers)
    assert "tailor-1" == moved.json["events"][-1]["by"]


def test_a_page_that_shows_another_than_is_signed_in_now_is_locked(tablet, shop):
    # Two pages of one browser have one cookie: whoever signed in last on either.
    sign_in(tablet, "tailor-1")
    sheet = {"garments": [TROUSERS], "lines": [WAIST_IN], "to_be_pinned": True}
    shown, own = {"Floor-By": "fitter-1"}, {"Floor-By": "tailor-1", "Idempotency-Key": "one"}
    answers = [tablet.post("/v1/orders", json=sheet, headers=ORIGIN | shown), tablet.get("/v1/orders", headers=shown)]
    assert [(401, "locked")] * 2 == [(each.status_code, each.json["code"]) for each in answers]
    assert [] == shop.staff.get("/v1/orders").body["orders"]
    assert 201 == tablet.post("/v1/orders", json=sheet, headers=ORIGIN | own).status_code


def test_what_cannot_be_read_is_refused_in_words(tablet):
    sign_in(tablet)
    for body in ("[" * 100_000, '{"a":' * 40_000, "[]", "\xff", '{"who": "fitter-1", "code": "\\ud800"}'):
        for path in ("/v1/orders", "/floor/sign-in"):
            answer = tablet.post(path, data=body, headers=ORIGIN | {"Content-Type": "application/json"})
            assert "application/problem+json" == answer.content_type
            assert answer.status_code in (400, 401, 403, 422)


def test_what_is_no_code_is_a_wrong_one(door, hands):
    for code in ("\ud800", f"{CODES['fitter-1']}\n", f" {CODES['fitter-1']}", CODES["fitter-1"] * 30, ""):
        assert door.sign_in("fitter-1", code, "tablet-1") is None
        hands.at += staff.LONGEST_WAIT_SECONDS
    assert door.sign_in("fitter-1", CODES["fitter-1"], "tablet-1")


def test_what_is_too_large_is_refused_in_json_for_a_page_takes_other_answers_for_a_line_that_is_down(tablet):
    sign_in(tablet)
    answer = tablet.post("/v1/orders", data="x" * 300_000, headers=ORIGIN | {"Content-Type": "application/json"})
    assert (413, "too_large") == (answer.status_code, answer.json["code"])


def test_behind_a_proxy_wrong_codes_at_one_tablet_leave_the_others_open(members):
    app = floor.floor_app(floor.Service("http://127.0.0.1:9", {"staff": "key", "admin": ""}), members, proxies=1)
    one, another = ({"X-Forwarded-For": f"192.0.2.{tablet}"} for tablet in (1, 2))
    for who in CODES:
        for _ in range(3):
            assert 401 == sign_in(app.test_client(), who, "0000", **one).status_code
    assert 403 == sign_in(app.test_client(), "fitter-9", "0000", **one).status_code
    assert 401 == sign_in(app.test_client(), "fitter-9", "0000", **another).status_code


def test_behind_a_proxy_with_tls_a_tablet_signs_in_and_its_cookie_goes_by_tls_alone(members):
    app = floor.floor_app(floor.Service("http://127.0.0.1:9", {"staff": "key", "admin": ""}), members, proxies=1)
    headers = {"X-Forwarded-For": "192.0.2.1", "X-Forwarded-Proto": "https", "Origin": "https://localhost"}
    answer = sign_in(app.test_client(), **headers)
    assert (200, True) == (answer.status_code, "; Secure" in answer.headers["Set-Cookie"])
    assert 403 == sign_in(app.test_client(), **headers | {"X-Forwarded-Proto": "http"}).status_code


def test_nobody_begins_work_for_another(tablet):
    sign_in(tablet, "fitter-1")
    answer = tablet.post("/v1/tailors/tailor-1/work", json={"do": "begin"}, headers=ORIGIN)
    assert (403, "another_tailor") == (answer.status_code, answer.json["code"])


def test_what_is_not_in_the_contract_is_not_passed_on(tablet):
    sign_in(tablet)
    answers = [
        tablet.get("/v1/nothing"),
        tablet.delete("/v1/orders", headers=ORIGIN),
        tablet.get("/v1/orders/../../metrics"),
    ]
    assert [404] * 3 == [each.status_code for each in answers]


def test_only_who_may_change_prices_asks_with_the_key_that_can(tablet):
    answers = []
    for who in ("fitter-1", "manager-1"):
        sign_in(tablet, who)
        read = tablet.get("/v1/price-list")
        body = {name: each for name, each in read.json.items() if name != "prices"} | {"plain_hem_minor": 1500}
        headers = ORIGIN | {"If-Match": read.headers["ETag"]}
        answers.append(tablet.put("/v1/price-list", json=body, headers=headers))
    assert [403, 200] == [each.status_code for each in answers]
    assert WORDS["manager-1"] == ["admin"]


def test_with_the_service_away_it_says_that_the_line_is_down(members):
    tablet = floor.floor_app(floor.Service("http://127.0.0.1:9", {"staff": "key", "admin": ""}), members).test_client()
    sign_in(tablet)
    answer = tablet.get("/v1/orders")
    assert (503, "line_down") == (answer.status_code, answer.json["code"])


def test_the_screens_figure_is_the_papers_own():
    # The source is the papers' drawing. A browser cannot read its tables, so a copy is held to it.
    drawing = HOUSE / "service" / "papers" / "drawing"
    script = (HOUSE / "demo" / "floor" / "page" / "mirror" / "figure-lines.js").read_text("utf-8")
    figures = tomllib.loads((drawing / "figures.toml").read_text("utf-8"))
    expected = [
        each["d"] for view in ("front", "side", "back") for each in figures[view] if "no jacket" not in each["when"]
    ]
    assert expected == re.findall(r'"(M[^"]*)"\]', script)
    with (drawing / "drawing_places.csv").open(encoding="utf-8", newline="") as lines:
        points = {row["point"]: (row["view"], row["x"], row["y"]) for row in csv.DictReader(lines) if row["point"]}
    assert points == {
        name: (view, x, y) for name, view, x, y in re.findall(r'(\w+): \["(\w+)", (-?\d+), (-?\d+)\]', script)
    }


def test_the_script_signs_staff_up_and_serves_at_a_socket_that_listens_already(tmp_path):
    script, file = HOUSE / "demo" / "floor" / "serve", tmp_path / "staff.json"

    def run(*words, code="2468\n", **more):
        return subprocess.run(
            [sys.executable, script, *words], input=code, capture_output=True, text=True, check=False, **more
        )

    assert 0 == run("add", file, "fitter-1").returncode
    assert "four to eight digits" in run("add", file, "fitter-2", code="1\n").stderr
    assert "STAFF is the file" in run().stderr
    with socket.create_server(("127.0.0.1", 0)) as door:
        door.set_inheritable(True)
        there = os.environ | {"BASE_URL": "http://127.0.0.1:9", "FLOOR_KEY": "the key"}
        words = [sys.executable, script, file, f"fd://{door.fileno()}"]
        server = subprocess.Popen(words, pass_fds=[door.fileno()], env=there, stderr=subprocess.PIPE)
        try:
            with urlopen(f"http://127.0.0.1:{door.getsockname()[1]}/floor/door") as answer:
                assert ["fitter-1"] == json.load(answer)["staff"]
        finally:
            server.terminate()
            server.communicate()
