from datetime import date

import pytest
from flask import Flask
from flask_smorest import Api

from service.http.contract.retiring import Retiring
from service.http.operations import operation
from service.http.parsing import StrictBlueprint
from service.http.schemas import Schema

GOES = Retiring(since=date(2027, 3, 1), until=date(2028, 3, 1), instead="`GET /v2/things`")


@pytest.fixture
def app(house):
    app = Flask("retiring")
    app.config.update(API_TITLE="Things", API_VERSION="1.0.0", OPENAPI_VERSION="3.1.0")
    room = StrictBlueprint("things", __name__)

    @operation(room, "GET", "/things", scope=None, answer=Schema, counted=False, retiring=GOES)
    def list_things():
        """Things."""
        return {}

    app.extensions["api"] = Api(app)
    app.extensions["context"] = house.context
    app.extensions["api"].register_blueprint(room)
    return app


def test_every_answer_of_an_operation_that_goes_says_since_when_and_until_when(app):
    headers = app.test_client().get("/things").headers
    assert ("@1803859200", "Wed, 01 Mar 2028 00:00:00 GMT") == (headers["Deprecation"], headers["Sunset"])


def test_the_contract_says_so_too_and_what_takes_its_place(app):
    said = app.extensions["api"].spec.to_dict()["paths"]["/things"]["get"]
    assert said["deprecated"]
    assert "It goes on 2028-03-01: use `GET /v2/things` instead." in said["description"]
    assert {"Deprecation", "Sunset"} <= set(said["responses"]["200"]["headers"])


def test_nothing_goes_without_a_years_notice():
    with pytest.raises(ValueError, match="kept for a year"):
        Retiring(since=date(2027, 3, 1), until=date(2027, 12, 1), instead="nothing")
