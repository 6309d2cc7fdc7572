"""Whether the tests' own client would notice an answer that the contract does not know."""

import orjson
import pytest

from service.app import create_app
from service.settings import Settings
from service.use_cases.shop.keys import SCOPES, give_key
from tests.client import Client, Contract, NotInContract
from tests.http.sheets import order


@pytest.fixture
def answering(house):
    """A client of an application whose every answer is changed on its way out."""

    def with_change(change, key=None):
        app = create_app(Settings(), house.context)
        app.after_request(change)
        return Client(Contract(app), key)

    return with_change


def test_what_keeps_to_the_contract_passes(answering):
    assert 200 == answering(lambda response: response).get("/health/live").status


def test_a_status_that_is_not_documented_is_noticed(answering):
    def change(response):
        response.status_code = 204
        return response

    with pytest.raises(NotInContract, match="not a documented status"):
        answering(change).get("/health/live")


def test_another_media_type_is_noticed(answering):
    def change(response):
        response.content_type = "text/html"
        return response

    with pytest.raises(NotInContract, match="documented is"):
        answering(change).get("/health/live")
    with pytest.raises(NotInContract, match="as text/html"):
        answering(change).get("/nowhere")


@pytest.mark.parametrize("document", [{}, {"status": 1}, {"status": "live", "more": 1}, []])
def test_a_body_of_another_shape_is_noticed(answering, document):
    def change(response):
        response.data = orjson.dumps(document)
        return response

    with pytest.raises(NotInContract, match="health/live answered 200: "):
        answering(change).get("/health/live")


def test_a_problem_that_is_none_is_noticed(answering):
    def change(response):
        response.data = orjson.dumps({**orjson.loads(response.data), "code": "invented"})
        return response

    with pytest.raises(NotInContract, match='"invented" is not one of'):
        answering(change).get("/v1/orders")


def test_a_header_that_must_be_there_and_is_not_is_noticed(answering):
    def change(response):
        del response.headers["WWW-Authenticate"]
        return response

    with pytest.raises(NotInContract, match="without the header WWW-Authenticate"):
        answering(change).get("/v1/orders")


@pytest.mark.parametrize("moment", ["soon", "2026-02-30T09:00:00Z", "2026-03-02T09:00:00", "2026-03-02 09:00:00+01:00"])
def test_a_moment_that_is_none_is_noticed(answering, house, shop, moment):
    def change(response):
        response.data = orjson.dumps(orjson.loads(response.data) | {"placed_at": moment})
        return response

    key = give_key(house.context, shop.id, "staff", frozenset(SCOPES))
    with pytest.raises(NotInContract, match="placed_at"):
        answering(change, key).post("/v1/orders", order(), key="order")
