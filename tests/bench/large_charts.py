"""The largest charts that a shop may load: 200 sizes at every place, and pairs of which each goes with each."""

from __future__ import annotations

from collections.abc import Iterator

from service.tailoring.garments.charts import SIZES_MOST
from tests.bench.asked import Body


def large_chart(number: int) -> Body:
    """As many sizes as a chart may have, at every place that garments have; no two of them alike."""
    shift = number / 64
    return {"title": "Large", "unit": "in", "sold": "separates", "sizes": [*_sizes(shift)][:SIZES_MOST]}


def pairs_chart(number: int) -> Body:
    """Sizes so near to one another that every jacket is sold with every pair of trousers."""
    jackets = [
        {
            "garment": "jacket", "label": f"J{at}", "body": 38 + at / 512, "chest": 42 + at / 512,
            "waist": 37 + at / 512, "seat": 41 + at / 512,
            "shoulder": 6 + at / 512, "back_width": 17 + at / 512, "sleeve": 25 + at / 512,
            "back_length": 30 + number / 64 + at / 512,
        }
        for at in range(SIZES_MOST // 2)
    ]  # fmt: skip
    trousers = [
        {
            "garment": "trousers", "label": f"T{at}", "body": 32 + at / 512, "waist": 32.75 + at / 512,
            "seat": 41 + at / 512, "thigh": 24 + at / 512, "rise": 10 + at / 512, "hem": 16 + at / 512,
            "inside_leg": 34 + number / 64,
        }
        for at in range(SIZES_MOST // 2)
    ]  # fmt: skip
    return {"title": "Pairs", "unit": "in", "sold": "pairs", "drop": 6, "sizes": [*jackets, *trousers]}


CLASSES = (("short", "S", -1.5), ("regular", "R", 0.0), ("long", "L", 1.5), ("extra", "X", 3.0))
COUNTS = {"jacket": 22, "trousers": 18, "waistcoat": 10}


def labels_of(garment: str) -> list[str]:
    return [size["label"] for size in _sizes(0.0) if size["garment"] == garment]


def _sizes(shift: float) -> Iterator[Body]:
    for name, letter, longer in CLASSES:
        for at in range(COUNTS["jacket"]):
            body = 33 + at
            yield {
                "garment": "jacket", "label": f"{body}{letter}", "body": body, "length_class": name,
                "chest": body + 4 + shift, "waist": body - 1 + shift, "seat": body + 3 + shift,
                "shoulder": 5 + at / 16, "back_width": 15 + at / 4, "sleeve": 24 + at / 8 + longer,
                "back_length": 28.5 + at / 8 + longer,
            }  # fmt: skip
        for at in range(COUNTS["trousers"]):
            body = 27 + at
            yield {
                "garment": "trousers", "label": f"{body}{letter}", "body": body, "length_class": name,
                "waist": body + 0.75 + shift, "seat": body + 9 + shift, "thigh": 22 + at / 2, "rise": 9 + at / 8,
                "hem": 15 + at / 4, "inside_leg": 34 + longer,
            }  # fmt: skip
        for at in range(COUNTS["waistcoat"]):
            body = 34 + 2 * at
            yield {
                "garment": "waistcoat", "label": f"{body}{letter}", "body": body, "length_class": name,
                "chest": body + 3 + shift, "waist": body - 2 + shift, "length": 24 + at / 8 + longer,
            }  # fmt: skip
