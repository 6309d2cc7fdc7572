"""In which unit an answer writes its lengths: one for all of them.

`?units` says it; else it is the unit in which the request says most of its lengths; else that of the thing itself.
What was read is shown as it was said (`values.Said`), unless `?units` says otherwise.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any

from flask import g

from service.tailoring.quantities import LENGTH_UNITS, LengthUnit, most_said

# So much of a request is enough to know its unit: a batch says thousands.
_PARTS_MOST = 2_000


def note_request(document: Any) -> None:  # noqa: ANN401  whatever was parsed
    """Keep the unit in which a request says most of its lengths."""
    g.unit_of_request = most_said(islice(_units(document), _PARTS_MOST))


def choose(asked: LengthUnit | None) -> None:
    """Answer this request in the unit that it asks for, else in its own."""
    g.units_asked = asked
    g.units = asked or unit_of_request()


def unit_of_request() -> LengthUnit | None:
    """The unit in which this request says most of its lengths; None where it says none."""
    said: LengthUnit | None = g.get("unit_of_request")
    return said


def answer_in(said: Iterable[LengthUnit | None]) -> None:
    """Where neither query nor body says a unit, answer in the one in which most of a thing's lengths were said."""
    if g.get("units") is None:
        g.units = most_said(said)


def _units(document: Any) -> Iterator[LengthUnit | None]:  # noqa: ANN401
    """The unit of each part of a document, None of one that says none."""
    if isinstance(document, dict):
        unit = document.get("unit")
        yield unit if unit in LENGTH_UNITS else None
        for part in document.values():
            yield from _units(part)
    elif isinstance(document, list):
        for part in document:
            yield from _units(part)
