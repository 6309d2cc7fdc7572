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
    """The rows of the CSV table `name`, a cell each by its column's heading."""
    text = (files(__name__) / f"{name}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(io.StringIO(text)))


def document(name: str) -> dict[str, Any]:
    """The TOML document `name`."""
    return tomllib.loads((files(__name__) / f"{name}.toml").read_text(encoding="utf-8"))
