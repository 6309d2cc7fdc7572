import re

import orjson
import pytest
import schemathesis
from jsonschema_rs import meta

from service.console import CONTRACT, OPERATIONS, PROBLEMS
from service.http.api import operations
from service.http.contract.contract_words import HEADERS
from service.http.refusals.words import WORDS

METHODS = {"get", "put", "post", "delete", "patch", "head", "options", "trace"}


@pytest.fixture
def document(house):
    return house.contract.document


def every_operation(document):
    return [
        (path, method, operation)
        for path, item in document["paths"].items()
        for method, operation in item.items()
        if method in METHODS
    ]


def test_the_committed_contract_is_what_the_code_says(document):
    assert orjson.loads(CONTRACT.read_bytes()) == document


def test_the_committed_list_of_operations_is_what_the_code_serves(house):
    assert OPERATIONS.read_text("utf-8").splitlines() == operations(house.contract.app)


def test_the_contract_is_served_as_it_is_committed(stranger, house):
    answer = house.contract.app.test_client().get("/openapi.json")
    assert (200, "application/json", orjson.loads(CONTRACT.read_bytes())) == (
        answer.status_code,
        answer.mimetype,
        orjson.loads(answer.data),
    )


def test_it_is_a_valid_openapi_document_of_version_3_1(document):
    assert "3.1.0" == document["openapi"]
    assert None is schemathesis.openapi.from_dict(document).validate()


def test_the_validator_knows_an_invalid_one(document):
    broken = {**document, "info": {"title": "no version"}}
    with pytest.raises(Exception, match='"version" is a required property'):
        schemathesis.openapi.from_dict(broken).validate()


def test_every_schema_is_a_json_schema(document):
    for schema in document["components"]["schemas"].values():
        meta.validate(schema)


def test_every_reference_leads_somewhere(document):
    named = set(re.findall(r'"\$ref":"#/components/schemas/([^"]+)"', orjson.dumps(document).decode()))
    assert set() == named - set(document["components"]["schemas"])


def test_every_operation_has_an_id_of_its_own_a_summary_and_its_own_tag(document):
    found = [operation for _, _, operation in every_operation(document)]
    ids = [operation["operationId"] for operation in found]
    assert sorted(set(ids)) == sorted(ids)
    assert all(operation["summary"] and operation["tags"] for operation in found)


def test_every_parameter_says_what_it_is(document):
    # Of a part of a path `PATH_PARTS` says it.
    parameters = [
        each for item in document["paths"].values() for held in (item, *item.values()) if isinstance(held, dict)
        for each in held.get("parameters", [])
    ]  # fmt: skip
    assert len(parameters) > 30
    assert [] == [each["name"] for each in parameters if not each.get("description")]


def test_every_part_of_a_path_is_a_parameter_that_must_be_there(document):
    for path, item in document["paths"].items():
        said = {each["name"] for each in item.get("parameters", []) if each["in"] == "path" and each["required"]}
        assert set(re.findall(r"{(\w+)}", path)) == said


def test_every_refusal_is_a_problem_document(document):
    for _, _, operation in every_operation(document):
        for status, response in operation["responses"].items():
            if status >= "400":
                assert ["application/problem+json"] == list(response["content"])


def test_no_operation_documents_a_fault_of_ours(document):
    assert [] == [path for path, _, operation in every_operation(document) if "500" in operation["responses"]]


def test_every_documented_status_of_a_refusal_has_a_code_that_gives_it(document):
    documented = {int(status) for _, _, operation in every_operation(document) for status in operation["responses"]}
    assert set() == {status for status in documented if status >= 400} - {words.status for words in WORDS.values()}


def test_every_header_that_is_sent_is_described(document):
    sent = {
        name
        for _, _, operation in every_operation(document)
        for response in operation["responses"].values()
        for name in response.get("headers", {})
    }
    assert set(HEADERS) == sent


def test_codes_of_refusals_are_an_open_set_with_a_table(document):
    assert "enum" not in document["components"]["schemas"]["Problem"]["properties"]["code"]
    listed = re.findall(r"^\| `(\w+)` \| (\d+) \|", PROBLEMS.read_text("utf-8"), re.MULTILINE)
    assert [(code, str(words.status)) for code, words in sorted(WORDS.items())] == listed


def test_every_list_text_and_number_that_comes_in_is_bounded(document):
    schemas = document["components"]["schemas"]
    asked = _reached(
        [
            body["schema"]
            for _, _, operation in every_operation(document)
            for body in operation.get("requestBody", {}).get("content", {}).values()
        ],
        schemas,
    )
    assert [] == [_unbounded(part) for part in asked if _unbounded(part)]


def test_every_body_that_comes_in_refuses_unknown_fields(document):
    schemas = document["components"]["schemas"]
    bodies = [
        body["schema"]["$ref"].rpartition("/")[2]
        for _, _, operation in every_operation(document)
        for body in operation.get("requestBody", {}).get("content", {}).values()
    ]
    assert [] == [name for name in bodies if schemas[name].get("additionalProperties") is not False]


def test_every_answer_is_open_to_fields_that_a_caller_does_not_know_yet(document):
    schemas = document["components"]["schemas"]
    answered = _reached(
        [
            body["schema"]
            for _, _, operation in every_operation(document)
            for response in operation["responses"].values()
            for body in response.get("content", {}).values()
        ],
        schemas,
    )
    assert len(answered) > 100
    assert [] == [part for part in answered if part.get("additionalProperties") is False]


def test_every_object_inside_another_has_a_name(document):
    schemas = document["components"]["schemas"]
    parts = [part for schema in schemas.values() for part in schema.get("properties", {}).values()]
    parts += [part["items"] for part in parts if "items" in part]
    assert [] == [part for part in parts if "properties" in part]


def _reached(found, schemas):
    """Every schema inside the ones that are given."""
    seen, waiting = [], list(found)
    while waiting:
        part = waiting.pop()
        if part in seen:
            continue
        seen.append(part)
        if "$ref" in part:
            waiting.append(schemas[part["$ref"].rpartition("/")[2]])
        waiting += part.get("properties", {}).values()
        waiting += [part["items"]] if "items" in part else []
        waiting += part.get("oneOf", []) + part.get("anyOf", []) + part.get("allOf", [])
    return seen


def _unbounded(part):
    match part.get("type"):
        case "array":
            return "maxItems" not in part and part
        case "string":
            return not ({"maxLength", "enum", "format"} & set(part)) and part
        case "number" | "integer":
            return not ({"maximum", "minimum"} <= set(part)) and part
    return None


def test_links_lead_to_operations_with_what_the_answer_has(house):
    document = house.contract.document
    operations = {
        said["operationId"]: (path, said)
        for path, item in document["paths"].items()
        for method, said in item.items()
        if method in {"get", "put", "post", "delete", "patch"}
    }
    found = 0
    for name, (_, said) in operations.items():
        for status, response in said["responses"].items():
            for link in response.get("links", {}).values():
                path, follows = operations[link["operationId"]]
                asked = set(re.findall(r"{(\w+)}", path)) | {each["name"] for each in follows.get("parameters", [])}
                given = link.get("parameters", {})
                assert set(re.findall(r"{(\w+)}", path)) <= set(given) <= asked, (name, link)
                media = response["content"]["application/json"]
                body = media["example"] if "example" in media else media["examples"]["whole"]["value"]
                for expression in given.values():
                    value = body
                    for part in expression.removeprefix("$response.body#/").split("/"):
                        value = value[part]
                    assert isinstance(value, str | int), (name, status, expression)
                found += 1
    assert found > 30
