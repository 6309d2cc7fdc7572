"""The contract as its pages show it: refusals in one block, and nothing lost."""

import pytest

from tests.databases import either_database
from tests.http.bodies import DOCUMENT

pytestmark = either_database
METHODS = ("get", "put", "post", "delete", "patch")


@pytest.fixture
def shown(house):
    return house.contract.app.test_client().get("/docs/contract.json").json


def operations(document):
    return {
        item[method]["operationId"]: item[method]
        for item in document["paths"].values()
        for method in METHODS
        if method in item
    }


def refusals(operation):
    return {status: said for status, said in operation["responses"].items() if status >= "400"}


def test_every_operation_has_one_block_that_names_each_of_its_refusals(shown):
    found = operations(shown)
    assert set(operations(DOCUMENT)) == set(found)
    for name, operation in operations(DOCUMENT).items():
        blocks = refusals(found[name])
        assert ["default"] == list(blocks) if refusals(operation) else blocks == {}
        for status, said in refusals(operation).items():
            assert f"**{status}** {said['description']}" in blocks["default"]["description"]


def test_its_block_has_every_example_of_a_refusal(shown):
    found = operations(shown)
    for name, operation in operations(DOCUMENT).items():
        kept = [said["content"]["application/problem+json"].get("example") for said in refusals(operation).values()]
        if any(kept):
            examples = found[name]["responses"]["default"]["content"]["application/problem+json"]["examples"]
            assert {each["code"] for each in kept if each} == set(examples)


def test_answers_are_shown_as_the_contract_has_them(shown):
    found = operations(shown)
    for name, operation in operations(DOCUMENT).items():
        for status, said in operation["responses"].items():
            if status < "400":
                assert said.get("content") == found[name]["responses"][status].get("content")


def test_no_words_are_shown_as_a_program(shown):
    # A line that is indented is one to a page that reads Markdown.
    words = {name: each["description"] for name, each in operations(shown).items()}
    assert [] == [name for name, said in words.items() if any(line.startswith("    ") for line in said.splitlines())]
