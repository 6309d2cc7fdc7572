import pytest

from service.http.contract.problem_pages import name_of
from service.http.refusals.words import WORDS


@pytest.fixture
def reader(house):
    return house.contract.app.test_client()


def test_the_type_of_a_problem_leads_to_its_words(staff, reader):
    refused = staff.get("/v1/charts/none").body
    page = reader.get(refused["type"], headers={"Accept": "text/html"})
    assert (200, "text/html") == (page.status_code, page.mimetype)
    assert f"<h1>{refused['title']}</h1>" in page.text
    assert f"<code>{refused['code']}</code>" in page.text


@pytest.mark.parametrize("code", sorted(WORDS))
def test_every_code_has_a_text_without_holes(reader, code):
    text = reader.get(f"/problems/{name_of(code)}")
    assert (200, "text/plain") == (text.status_code, text.mimetype)
    assert WORDS[code].title in text.text
    assert "{" not in text.text


@pytest.mark.parametrize("name", ["nothing", "field_wrong", "Field-wrong", "field-wrong/"])
def test_there_is_no_page_of_what_is_no_code(reader, name):
    assert 404 == reader.get(f"/problems/{name}").status_code


def test_a_page_that_is_still_fresh_is_not_sent_again(reader):
    page = reader.get("/problems/not-found")
    again = reader.get("/problems/not-found", headers={"If-None-Match": page.headers["ETag"]})
    assert (304, b"") == (again.status_code, again.data)


def test_the_catalogue_leads_to_the_contract_and_its_pages(reader):
    found = reader.get("/.well-known/api-catalog")
    assert (200, "application/linkset+json") == (found.status_code, found.mimetype)
    assert 'rel="api-catalog"' in reader.head("/.well-known/api-catalog").headers["Link"]
    (api,) = found.get_json(force=True)["linkset"]
    links = [link for relation in ("service-desc", "service-doc", "status") for link in api[relation]]
    assert ["/openapi.json", "/docs", "/docs/steps", "/health/ready"] == [link["href"] for link in links]
    for link in links:
        answer = reader.get(link["href"])
        assert (200, link["type"]) == (answer.status_code, answer.mimetype)
