"""The schema that all of ours are."""

from __future__ import annotations

from typing import Any, Self

import marshmallow


class Schema(marshmallow.Schema):
    """A schema that never changes once it is made, so that whoever copies what an operation is need not copy it.

    Operations are put together by copying, a status at a time: a quarter of the time that the service took to start.
    """

    def __deepcopy__(self, memo: dict[int, Any]) -> Self:
        return self
