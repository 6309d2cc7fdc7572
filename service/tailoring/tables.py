"""The figures that the trade would edit, one file a subject, every row with its source.

Lengths stand in inches, as the trade quotes them; the code turns them into millimetres when it reads them.
"""

from __future__ import annotations

import csv
import io
import tomllib
from importlib.resources import files
from typing import Any


def rows(name: str) -> list[dict[str, str]]:
    """The rows of a room's CSV table (`garments/places`), a cell each by its column's heading."""
    return list(csv.DictReader(io.StringIO(_text(name, "csv"))))


def document(name: str) -> dict[str, Any]:
    """A room's TOML document (`body/population_men`)."""
    return tomllib.loads(_text(name, "toml"))


def _text(name: str, kind: str) -> str:
    room, _, table = name.partition("/")
    return (files(__package__) / room / "tables" / f"{table}.{kind}").read_text(encoding="utf-8")
