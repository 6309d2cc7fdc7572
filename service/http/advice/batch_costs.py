"""What a batch costs by its JSON alone, before any of it is read: what is wrong in it is left to the schemas."""

from __future__ import annotations

from typing import Any

from service.tailoring.garments.charts import reference_charts
from service.tailoring.sizing.batch_costs import BatchCharge, EvidenceShape


def shape_of_json(person: Any) -> EvidenceShape:  # noqa: ANN401  whatever the body says
    """What is known of one of many, as far as it is said as it should be."""
    if not isinstance(person, dict):
        return EvidenceShape(0, 0, None)
    told = person.get("readings")
    readings = [each for each in told if isinstance(each, dict)] if isinstance(told, list) else []
    read = tuple((str(each.get("dimension")), str(each.get("source", "measured")), _repeats(each)) for each in readings)
    values = sum(1 + repeats for _, _, repeats in read)
    once = len({dimension for dimension, _, _ in read}) == len(read)
    is_apart = not once or any(source == "label" for _, source, _ in read)
    return EvidenceShape(values, len(read), None if is_apart else ("age_years" in person, read))


def charge_of_json(asked: dict[str, Any]) -> BatchCharge:
    """The least that everybody may cost: how many sizes a chart has is not known yet."""
    charts, plans = asked.get("charts"), asked.get("limit", 1)
    codes = {str(code) for code in charts} if isinstance(charts, list) else {""}
    # The reference blocks count as one.
    codes = {"" if code in reference_charts() else code for code in codes}
    known = isinstance(plans, int) and plans >= 1
    return BatchCharge([0] * len(codes), plans if known else 1, whole=asked.get("whole") is True)


def _repeats(reading: dict[str, Any]) -> int:
    repeats = reading.get("repeats")
    return len(repeats) if isinstance(repeats, list) else 0
