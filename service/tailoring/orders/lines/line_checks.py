"""Finished work measured line by line: by another than who sewed it, held to what the line aims at."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import cache

from service.tailoring import tables
from service.tailoring.garments.amounts import STEP_MM
from service.tailoring.orders.lines.order_lines import OrderLine
from service.tailoring.orders.lines.work_done import LineCheck
from service.tailoring.quantities import Length, inches
from service.tailoring.refusals import Refusal

# The last bit of a converted length says nothing.
SAME_MM = 0.001


@dataclass(frozen=True, slots=True)
class LineMeasured:
    """What the checker found of the line of that number: a measure, or for what has none whether it is right."""

    number: int
    measured: Length | None = None
    is_right: bool | None = None


def tolerance_mm(line: OrderLine) -> float:
    """By how much a finished measure may be off: the table's for its basis, and never less than a tailor's step."""
    step = STEP_MM[line.target.unit] if line.target else 0.0
    return max(step, _tolerances()[line.amount.basis]) if line.amount else step


def checked(line: OrderLine, found: LineMeasured, by: str, at: datetime) -> LineCheck:
    """The check of one line. A measure that is further off than the tolerance is wrong, whatever was said.

    Raises Refusal `measure_missing`, or `measure_not_taken` where there is no finished measure to hold it to.
    """
    if found.measured is None:
        if line.target is not None:
            raise Refusal("measure_missing", ("measured",), alteration=line.alteration, target=line.target.text)
        if found.is_right is None:
            raise Refusal("measure_missing", ("is_right",), alteration=line.alteration, target="")
        return LineCheck(by, at, found.is_right)
    if line.target is None:
        raise Refusal("measure_not_taken", ("measured",), alteration=line.alteration)
    off_mm = round(found.measured.mm - line.target.mm, 3)
    within = abs(off_mm) <= tolerance_mm(line) + SAME_MM
    return LineCheck(by, at, within and found.is_right is not False, found.measured, line.target, off_mm)


@cache
def _tolerances() -> dict[str, float]:
    return {row["basis"]: inches(float(row["tolerance_in"])) for row in tables.rows("orders/check_tolerances")}
