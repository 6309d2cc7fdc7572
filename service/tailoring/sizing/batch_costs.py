"""What a batch costs before it is answered: by people, charts, plans and the kind of what is known of each.

In points, of which one size advice from three readings is worth a hundred. `tests/bench/batches.py` prints what was
measured beside what is charged: a charge covers it on the reference block and on charts as large as they come. A slip
is known only when it is read, and with many plans costs up to half more than its charge.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass

from service.tailoring.refusals import Refusal

# A thousand size advices: a handful of seconds of one core.
POINTS_MOST = 100_000
A_VALUE = 1
A_CHART = 5
A_LARGE_CHART = 10
# No chart has more than 250 sizes. The four reference blocks are costed together, and count as one.
LARGE_SIZES = 220
# Whoever is not answered together with others, and each set of readings that some were answered together by.
APART = 10
APART_A_CHART = 5
WHOLE = 30
WHOLE_A_CHART = 30
WHOLE_A_PLAN = 10


@dataclass(frozen=True, slots=True)
class EvidenceShape:
    """What is known of one of many, for its cost: values read, and the kind of readings that he shares with others.

    `kind` is None for whoever has a label, or one dimension in two readings: he is answered apart from all others.
    """

    values: int
    readings: int
    kind: Hashable | None


@dataclass(frozen=True, slots=True)
class BatchCharge:
    """What is asked of everybody in a batch: the number of sizes of each chart, plans wanted, and whether whole."""

    charts: Sequence[int]
    plans: int = 1
    whole: bool = False

    def points(self, people: Iterable[EvidenceShape]) -> int:
        """What all of them cost together."""
        kinds: set[Hashable] = set()
        found = 0
        for each in people:
            found += self._each + each.values * A_VALUE
            if each.kind is None or self.whole:
                found += self.apart(each.readings)
            elif each.kind not in kinds:
                kinds.add(each.kind)
                found += self.apart(each.readings)
        return found

    def apart(self, readings: int) -> int:
        """What somebody costs besides who is answered apart: his readings are held against each other."""
        return APART + APART_A_CHART * len(self.charts) + readings * readings // 10

    @property
    def _each(self) -> int:
        """What everybody costs, whatever is known of him."""
        charts = sum(A_LARGE_CHART if sizes > LARGE_SIZES else A_CHART for sizes in self.charts)
        whole = WHOLE + WHOLE_A_CHART * len(self.charts) + WHOLE_A_PLAN * self.plans
        return charts + (whole if self.whole else 0)


def check_affordable(people: Sequence[EvidenceShape], charge: BatchCharge) -> int:
    """The points of a batch. Raises Refusal `batch_too_dear`, with how many such people fit."""
    points = charge.points(people)
    if points > POINTS_MOST:
        fits = len(people) * POINTS_MOST // points
        raise Refusal("batch_too_dear", ("people",), points=points, most=POINTS_MOST, people=len(people), fits=fits)
    return points
