"""The contract says of every schema and property what it is; and what `words/` says is what the contract says."""

import re

from service.http.contract.descriptions import ANYWHERE, words_of
from tests.http.bodies import DOCUMENT, SCHEMAS

# In which unit a number is, or what it counts.
UNIT = re.compile(
    r"\b(?:mm|millimetres|kg|kilograms|minutes|days|seconds|years|degrees|percent|percentage|minor units|0 to 1|share"
    r"|\(easy\)"
    r"|how many|numbers?|revision|count|most|multiplied|bits|logarithm|pins|times|pleats|order of work|HTTP|the unit"
    r"|seams|piece|plan|trade names|id|step|version)\b"
)
FILLER = {"the", "a", "an", "of", "it", "is", "its", "that", "in", "what", "which"}
# Words that a shop would not write of its customers and its work.
LEFT = re.compile(r"\b(?:he|his|him|himself|man|men|nobody|anew|reckon\w*|told|looked at|stands?)\b", re.IGNORECASE)


def properties():
    """Every property of the contract, by its schema and name."""
    return {
        (schema, name): part for schema, said in SCHEMAS.items() for name, part in said.get("properties", {}).items()
    }


def test_every_schema_and_every_property_is_described():
    assert len(properties()) > 1500
    assert [] == [name for name, schema in SCHEMAS.items() if not schema.get("description")]
    assert [] == [".".join(key) for key, part in properties().items() if not part.get("description")]


def test_every_row_describes_what_has_no_words_of_its_own():
    found = properties()
    rows = {key: words for key, words in words_of().items() if key[0] != ANYWHERE}
    assert [] == [".".join(key) for key, words in rows.items() if words != found.get(key, {}).get("description")]


def test_what_a_name_means_anywhere_is_said_somewhere():
    said = {(name, part["description"]) for (_, name), part in properties().items()}
    assert set() == {(name, words) for (schema, name), words in words_of().items() if schema == ANYWHERE} - said


def test_every_number_says_what_it_counts_or_its_unit():
    numbers = {key: part for key, part in properties().items() if is_number(part)}
    assert len(numbers) > 150
    assert [] == [".".join(key) for key, part in numbers.items() if not UNIT.search(part["description"])]


def test_no_description_says_the_name_again_and_no_more():
    said = {key: set(re.findall(r"\w+", part["description"].lower())) for key, part in properties().items()}
    assert [] == [".".join(key) for key, words in said.items() if len(words - set(key[1].split("_")) - FILLER) < 2]


def test_the_contract_is_written_in_the_shops_english():
    assert [] == [words for words in descriptions(DOCUMENT) if LEFT.search(words)]


def is_number(part):
    kinds = part.get("type", [])
    named = {kinds} if isinstance(kinds, str) else {*kinds}
    return bool({"number", "integer"} & named) or ("items" in part and is_number(part["items"]))


def descriptions(part):
    """Every text of the contract that describes something; examples are what they are."""
    for name, inner in part.items() if isinstance(part, dict) else enumerate(part):
        if name in ("description", "summary") and isinstance(inner, str):
            yield inner
        elif isinstance(inner, dict | list) and name not in ("example", "examples"):
            yield from descriptions(inner)
