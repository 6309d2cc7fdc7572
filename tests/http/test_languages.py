"""Problems and notices in the language of whoever reads them; their codes in none."""

import pytest

from service.use_cases.shop.shops import say_on_slips
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
