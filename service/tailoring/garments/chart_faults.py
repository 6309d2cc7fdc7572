"""What is wrong with a chart, row by row: all of it is said at once; and which labels it has instead of another."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from service.tailoring.refusals import Fact, Refusal

# So many labels are named to whoever asked for one that is not there.
LABELS_NAMED = 8


@dataclass(slots=True)
class ChartFaults:
    """The faults found up to now. Row 1 is the first row of sizes; a fault of the head has no row."""

    found: list[Refusal] = field(default_factory=list)

    def add(self, row: int | None, column: str, words: str) -> None:
        """Note one, with where it is and what would be right."""
        where, at = (f"row {row}, {column}", ("sizes", row - 1, column)) if row else (column, (column,))
        facts: dict[str, Fact] = {"row": row} if row else {}
        self.found.append(Refusal("chart_invalid", at, words=f"{where}: {words}", column=column, **facts))

    def refusal(self) -> Refusal:
        """All of them as one."""
        words = "; ".join(str(fault.facts["words"]) for fault in self.found)
        return Refusal.together("chart_invalid", self.found, words=words)


def labels_near(labels: Sequence[str], wanted: str) -> tuple[str, ...]:
    """Some of `labels`, in their order: those next to the number of one that is not among them; "none" of no labels."""
    near = sorted(labels, key=lambda label: abs(_number_in(label) - _number_in(wanted)))[:LABELS_NAMED]
    return tuple(label for label in labels if label in near) or ("none",)


def _number_in(label: str) -> int:
    """The first number of a label; 0 where it has none."""
    found = re.search("[0-9]{1,9}", label)
    return int(found[0]) if found else 0
