"""The contract says of every schema and property what it is; and what `words/` says is what the contract says."""

from service.http.contract.descriptions import ANYWHERE, words_of
from tests.http.bodies import SCHEMAS


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
