"""What the contract says of schemas and their properties: meaning and unit, where the field does not say it itself.

A schema is described by its docstring. A property by its field (`metadata`), else by its row in `words/`, a file for
each room, else by what its name means anywhere. A test holds that none is left without words, and no row unused.
"""

from __future__ import annotations

import inspect
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

ANYWHERE = "anywhere"


@cache
def words_of() -> dict[tuple[str, str], str]:
    """By schema and property, what the property is. The schema `anywhere` has what a name means in every other one.

    A row for fewer schemas counts before one for more. Raises ValueError where two rows count alike.
    """
    found: dict[tuple[str, str], tuple[int, str]] = {}
    for file in files(__package__).joinpath("words").iterdir():
        for named, rows in tomllib.loads(file.read_text("utf-8")).items():
            schemas = named.split()
            for key in ((schema, name) for schema in schemas for name in rows):
                count, _ = found.get(key, (0, ""))
                if count == len(schemas):
                    raise ValueError(f"{'.'.join(key)} is described twice")
                if not count or len(schemas) < count:
                    found[key] = (len(schemas), rows[key[1]])
    return {key: words for key, (_, words) in found.items()}


def describe(document: dict[str, Any], names: Mapping[Any, str]) -> None:
    """Give every schema of the document, and every property that is without one, its description.

    `names` are the names of the schemas in the document, by a key that begins with their class.
    """
    schemas: dict[str, Any] = document["components"]["schemas"]
    for key, name in names.items():
        schemas[name].setdefault("description", inspect.cleandoc(key[0].__doc__ or ""))
    words = words_of()
    for name, schema in schemas.items():
        for part, said in schema.get("properties", {}).items():
            found = words.get((name, part)) or words.get((ANYWHERE, part))
            if found and not said.get("description"):
                said["description"] = found
