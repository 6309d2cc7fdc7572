"""The contract's examples: of every request and every answer, as its schema says, and as the service answers today."""

import re

import orjson
import pytest

from tests.contract.made_up_day import examples_of
from tests.contract.write_examples import FILE, PRINTED
from tests.databases import migrated
from tests.papers.agreed import text_of

METHODS = ("get", "put", "post", "delete", "patch")
SHOWN_REFUSALS = {"401", "403", "404", "409", "412", "422", "428"}
MOST_BYTES = 1_500_000


@pytest.fixture
def document(house):
    return house.contract.document


def contents(document):
    """Every body of the contract that is read, with its pointer."""
    for section in ("paths", "webhooks"):
        for path, item in document[section].items():
            for method in (method for method in METHODS if method in item):
                at = f"/{section}/{_escaped(path)}/{method}"
                for media, said in item[method].get("requestBody", {}).get("content", {}).items():
                    yield f"{at}/requestBody/content/{_escaped(media)}", said
                for status, response in item[method]["responses"].items():
                    for media, said in response.get("content", {}).items():
                        yield f"{at}/responses/{status}/content/{_escaped(media)}", said


def examples(said):
    """The examples of one body."""
    return [said["example"]] if "example" in said else [each["value"] for each in said.get("examples", {}).values()]


def _escaped(part):
    return part.replace("~", "~0").replace("/", "~1").replace("{", "%7B").replace("}", "%7D")


def is_refusal(pointer):
    return "problem+json" in pointer


def test_every_request_and_every_answer_has_an_example(document):
    found = [(pointer, said) for pointer, said in contents(document) if not is_refusal(pointer)]
    assert len(found) > 100
    assert [] == [pointer for pointer, said in found if not examples(said)]


def test_an_example_without_a_name_is_of_the_whole_answer(document):
    found = {pointer: said for pointer, said in contents(document) if "anyOf" in said.get("schema", {})}
    assert len(found) > 3
    for pointer, said in found.items():
        whole = document["components"]["schemas"][said["schema"]["anyOf"][0]["$ref"].rpartition("/")[2]]
        assert set(whole["required"]) <= set(said.get("example", whole["required"])), pointer


def test_refusals_that_callers_meet_have_examples(document):
    shown = {pointer.split("/")[5] for pointer, said in contents(document) if is_refusal(pointer) and examples(said)}
    assert set() == SHOWN_REFUSALS - shown


def test_what_is_wrong_with_a_request_has_an_example_at_every_operation(document):
    found = [(pointer, said) for pointer, said in contents(document) if pointer.split("/")[5] == "422"]
    assert len(found) > 70
    assert [] == [pointer for pointer, said in found if not examples(said)]


def test_every_example_is_as_its_schema_says(house):
    faults = [
        (pointer, str(fault)[:200])
        for pointer, said in contents(house.contract.document)
        for value in examples(said)
        for fault in house.contract.faults_of(f"{pointer}/schema", value)
    ]
    assert [] == faults


def test_the_examples_are_what_a_made_up_day_brings(tmp_path):
    """Where this fails: `python -m tests.contract.write_examples`, then `python -m service write-contract`."""
    day, printed = examples_of(migrated(f"sqlite:///{tmp_path}/day.sqlite3"))
    played = orjson.loads(orjson.dumps(day))
    kept = orjson.loads(FILE.read_bytes())
    assert [] == [name for name in {*played, *kept} if played.get(name) != kept.get(name)]
    papers = {paper.name: paper.read_bytes() for paper in PRINTED.iterdir()}
    assert [] == [name for name in {*printed, *papers} if read(printed.get(name, b"")) != read(papers.get(name, b""))]


def read(paper):
    """What is printed; of a PDF its words, for how it is packed depends on the machine."""
    return text_of(paper) if paper.startswith(b"%PDF") else paper


def test_an_example_that_is_a_file_is_served_as_its_answer_is(house, document):
    client = house.contract.app.test_client()
    files = {}
    for pointer, said in contents(document):
        for each in said.get("examples", {}).values():
            for address in re.findall(r"\((/docs/examples/[a-z_.]+)\)", each.get("description", "")):
                files[address.rpartition("/")[2]] = pointer.rpartition("/")[2].replace("~1", "/"), each["value"]
    assert {paper.name for paper in PRINTED.iterdir()} == set(files)
    for name, (media, shown) in files.items():
        answer = client.get(f"/docs/examples/{name}")
        assert (200, media) == (answer.status_code, answer.mimetype)
        assert answer.data == (PRINTED / name).read_bytes()
        assert answer.data.startswith(shown.encode("utf-8" if media == "image/svg+xml" else "latin-1"))
    assert 404 == client.get("/docs/examples/other.pdf").status_code


def test_the_contract_is_not_too_large_to_be_read_by_a_page(house):
    assert len(house.contract.app.test_client().get("/openapi.json").data) < MOST_BYTES
