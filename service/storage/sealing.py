"""What was read of a customer, sealed at rest where the operator has given keys for it.

A sealed value is `{"sealed": token}` in the place of what it holds; the token is Fernet's (AES-128-CBC and
HMAC-SHA256). The first key seals, every key opens. What was kept before there were keys is read as it stands, until
`reseal` has gone over it.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from typing import TYPE_CHECKING, Any

import orjson
from sqlalchemy import ColumnElement, Connection, Table, literal, select, true, tuple_, update

from service.storage.caller_tables import kept_advice, repeats
from service.storage.tables import fit_checks, measurement_sets

if TYPE_CHECKING:
    from cryptography.fernet import MultiFernet

# The name under which a connection knows how to seal.
SEALING = "sealing"
_MARK = "sealed"
# What is sealed, by table: each column holds JSON that tells of a body.
SEALED = (
    (measurement_sets, ("content",)),
    (fit_checks, ("plans", "answer", "record")),
    (repeats, ("answer",)),
    (kept_advice, ("content",)),
)


class SealKeyMissing(Exception):
    """Something is sealed with a key that is not among those given."""


class Sealing:
    """Seals and opens with keys as Fernet makes them; without keys it seals nothing."""

    def __init__(self, keys: Sequence[str]) -> None:
        self._box = _box(keys) if keys else None

    def seal(self, content: Any) -> Any:  # noqa: ANN401  JSON
        """The content as it is kept."""
        if self._box is None or content is None:
            return content
        return {_MARK: self._box.encrypt(orjson.dumps(content)).decode()}

    def open(self, kept: Any) -> Any:  # noqa: ANN401  JSON
        """The content of what was kept. Raises SealKeyMissing."""
        if not isinstance(kept, dict) or kept.keys() != {_MARK}:
            return kept
        if self._box is not None:
            from cryptography.fernet import InvalidToken  # noqa: PLC0415

            with suppress(InvalidToken):
                return orjson.loads(self._box.decrypt(kept[_MARK]))
        raise SealKeyMissing("something is sealed with a key that is not in FITTING_READINGS_KEYS")


def _box(keys: Sequence[str]) -> MultiFernet:
    # Here and not above: who keeps nothing sealed need not wait for it at every command.
    from cryptography.fernet import Fernet, MultiFernet  # noqa: PLC0415

    return MultiFernet([Fernet(key) for key in keys])


def sealing_of(tx: Connection) -> Sealing:
    """How this connection's database seals."""
    found: Sealing = tx.get_execution_options()[SEALING]
    return found


def reseal(
    tx: Connection, table: Table, columns: Sequence[str], last: tuple[Any, ...] | None, most: int
) -> tuple[Any, ...] | None:
    """Seal rows of a table again with the first key, from beyond the one that was the last; None when all are done.

    The rows are held from the moment in which they are read: what is written is what they say, and never what they
    said before a customer was erased. Raises SealKeyMissing.
    """
    sealing, key = sealing_of(tx), list(table.primary_key)
    asked = select(*key, *(table.c[name] for name in columns)).where(_beyond(key, last)).order_by(*key).limit(most)
    rows = tx.execute(asked.with_for_update()).all()
    for row in rows:
        kept = dict(zip(columns, row[len(key) :], strict=True))
        its = [column == value for column, value in zip(key, row, strict=False)]
        tx.execute(update(table).where(*its).values({name: sealing.seal(sealing.open(kept[name])) for name in kept}))
    return tuple(rows[-1][: len(key)]) if rows else None


def _beyond(key: Sequence[ColumnElement[Any]], last: tuple[Any, ...] | None) -> ColumnElement[bool]:
    return true() if last is None else tuple_(*key) > tuple_(*(literal(value) for value in last))
