"""Problems and notices in the language of whoever reads them; their codes in none."""

from uuid import uuid4

import pytest

from service.use_cases.shop.shops import say_on_slips
from tests.http.sheets import WAIST_IN, order, placed, reading
from tests.shops import new_shop

NOT_FOUND = {"en-GB": "Not found", "en-US": "Not found", "de": "Nicht gefunden", "fr": "Introuvable"}
NOWHERE = "/v1/orders/00000000-0000-4000-8000-000000000000"


@pytest.mark.parametrize(
    ("asked", "reads", "shop_speaks", "answered"),
    [
        ("", None, "", "en-GB"), ("", None, "de", "de"), ("", "fr-CA,en;q=0.5", "de", "fr"), ("", "nl", "fr", "fr"),
        ("", "en-US", "de", "en-US"), ("?lang=fr", "de", "en-GB", "fr"), ("?lang=en-GB", None, "de", "en-GB"),
    ],
)  # fmt: skip
def test_a_problems_title_is_in_the_language_asked_for_else_the_callers_else_the_shops(
    house, asked, reads, shop_speaks, answered
):
    shop = new_shop(house)
    say_on_slips(house.context, shop.id, language=shop_speaks)
    answer = shop.staff.get(f"{NOWHERE}{asked}", headers={"Accept-Language": reads})
    assert (404, "not_found", [""]) == answer.problem
    assert (NOT_FOUND[answered], answered) == (answer.body["title"], answer.headers["Content-Language"])
    assert "Accept-Language" in answer.headers["Vary"]
    assert "/problems/not-found" == answer.body["type"]


@pytest.mark.parametrize(("reads", "title"), [("de", "Der Schlüssel fehlt"), ("fr", "La clé manque")])
def test_who_shows_no_key_is_told_so_in_their_language(stranger, reads, title):
    answer = stranger.get("/v1/orders", headers={"Accept-Language": reads})
    assert (401, title) == (answer.status, answer.body["title"])


def test_a_language_that_there_is_not_is_refused_in_one_that_there_is(staff):
    answer = staff.get("/v1/orders?lang=tlh", headers={"Accept-Language": "de"})
    assert (422, "field_wrong", ["/lang"]) == answer.problem
    assert "Die Anfrage ist nicht richtig" == answer.body["title"]


TWICE = {
    "en-GB": "waist at the navel: measure it twice.",
    "en-US": "waist at the navel: measure it twice.",
    "de": "Taille in Nabelhöhe: zweimal messen.",
    "fr": "taille au nombril : mesurez deux fois.",
}
WAIST = [reading("waist_girth", 34)]


@pytest.mark.parametrize("tag", TWICE)
def test_a_notice_is_in_the_language_of_whoever_reads_it_and_its_code_in_none(staff, tag):
    asked = {"readings": WAIST, "charts": ["reference"], "garments": ["trousers"]}
    answer = staff.post("/v1/size-advice", asked, headers={"Accept-Language": tag})
    (notice,) = (each for each in answer.body["warnings"] if each["code"] == "second_reading_advised")
    assert (TWICE[tag], "/readings/0") == (notice["text"], notice["pointer"])
    assert (tag, True) == (answer.headers["Content-Language"], "Accept-Language" in answer.headers["Vary"])


@pytest.mark.parametrize(("tag", "said"), [("de", "38,5 cm"), ("fr", "38,5 cm"), ("en-GB", "38.5 cm")])
def test_a_length_in_a_notice_has_the_decimal_sign_of_the_language(staff, tag, said):
    asked = {"readings": [reading("waist_girth", 86, "cm"), reading("chest_girth", 38.5, "cm")]}
    answer = staff.post("/v1/size-advice", asked, headers={"Accept-Language": tag})
    assert [said] == [said for each in answer.body["warnings"] if said in each["text"]]


def test_a_repeated_answer_says_in_which_language_it_was_given(staff):
    """Who asks again in another language gets the same answer, and is told which language it is in."""
    path, key = "/v1/orders", str(uuid4())
    asked = order(lines=[WAIST_IN | {"alteration": "trouser_waist_out"}])
    german, french = (staff.post(path, asked, key=key, headers={"Accept-Language": tag}) for tag in ("de", "fr"))
    assert (201, 201, german.body) == (german.status, french.status, french.body)
    assert "Ausgelassen wird erst zugesagt" in str(german.body["warnings"])
    assert [("de", None), ("de", "true")] == [
        (each.headers["Content-Language"], each.headers.get("Answer-Repeated")) for each in (german, french)
    ]


@pytest.mark.parametrize(
    ("asked", "reads", "shop_speaks", "tag", "name"),
    [
        ("", "de", "", "en-GB", "TICKET"), ("", "en", "de", "de", "AUFTRAG"), ("", None, "fr", "fr", "BON"),
        ("?lang=fr", "en", "de", "fr", "BON"),
    ],
)  # fmt: skip
def test_a_ticket_is_in_the_shops_language_whatever_its_reader_speaks(house, asked, reads, shop_speaks, tag, name):
    shop = new_shop(house)
    say_on_slips(house.context, shop.id, language=shop_speaks)
    path = f"/v1/orders/{placed(shop.staff)['id']}/ticket{asked}"
    answer = shop.staff.get(path, headers={"Accept-Language": reads})
    assert (tag, True) == (answer.headers["Content-Language"], name in answer.body.split())
    assert tag == shop.staff.get(path, headers={"Accept": "application/json"}).body["language"]


@pytest.mark.parametrize(
    ("tag", "words", "reason"),
    [
        ("en-GB", "take in waist at centre back", "promised for 2026-03-03"),
        ("en-US", "take in waist at center back", "promised for Mar 3, 2026"),
        ("de", "Bund in der Rückenmitte enger machen", "zugesagt für 03.03.2026"),
        ("fr", "reprendre la ceinture au milieu dos", "promis pour le 3 mars 2026"),
    ],
)
def test_the_worklist_is_in_the_language_of_whoever_reads_it(house, clock, tag, words, reason):
    shop = new_shop(house)
    placed(shop.staff, lines=[WAIST_IN])
    clock.advance(days=14)
    answer = shop.staff.get("/v1/workroom/worklist", headers={"Accept-Language": tag})
    jobs = [job for bench in answer.body["benches"] for job in bench["jobs"]]
    assert words in {line["words"] for job in jobs for line in job["lines"]}
    assert reason in {each for job in jobs for each in job["reasons"]}
    assert tag == answer.headers["Content-Language"]
