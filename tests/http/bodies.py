"""Every body that a caller may send, as the contract has it, and each list and text inside."""

import re
from uuid import uuid4

from service.app import create_app
from service.http.api import contract
from service.settings import Settings

DOCUMENT = contract(create_app(Settings()))
SCHEMAS = DOCUMENT["components"]["schemas"]
OPERATIONS = {
    (method.upper(), path): operation["requestBody"]["content"]["application/json"]["schema"]
    for path, item in DOCUMENT["paths"].items()
    for method, operation in item.items()
    if "requestBody" in operation
}
PLACEHOLDERS = {"chart": "everyday", "on": "2026-03-04"}


def parts(schema, at=()):
    """Every list and text inside of a schema, with its path; 0 is the first of a list."""
    schema = SCHEMAS[schema["$ref"].rpartition("/")[2]] if "$ref" in schema else schema
    types = schema.get("type", [])
    if "string" in types:
        yield at, schema
    if "array" in types:
        yield at, schema
        yield from parts(schema["items"], (*at, 0))
    for name, inner in schema.get("properties", {}).items():
        yield from parts(inner, (*at, name))
    for inner in [*schema.get("oneOf", []), *schema.get("anyOf", []), *schema.get("allOf", [])]:
        yield from parts(inner, at)


def holding(at, value):
    """A document with nothing but this value at the path."""
    for part in reversed(at):
        value = [value] if part == 0 else {part: value}
    return value


def address(path):
    return re.sub(r"{(\w+)}", lambda name: PLACEHOLDERS.get(name[1], str(uuid4())), path)
