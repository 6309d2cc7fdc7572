"""What is wrong with a chart, row by row: all of it is said at once."""

from __future__ import annotations

from dataclasses import dataclass, field

from service.tailoring.refusals import Fact, Refusal


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
