"""Rows of charts, and what is wrong with them, for tests."""

import pytest

from service.tailoring.garments.charts import ChartHead, chart
from service.tailoring.quantities import Length, inches
from service.tailoring.refusals import Refusal

HEAD = ChartHead("shop", "Shop's own block")
PAIRS = ChartHead("pairs", "Sold in pairs", sold="pairs", drop=Length(inches(6), "in"))


def jacket(label="38R", body=38, **places):
    measures = {"chest": body + 4, "waist": body - 2, "sleeve": body / 8 + 20, "back_length": body / 4 + 20}
    return {"garment": "jacket", "label": label, "body": body, "length_class": "regular"} | measures | places


def trousers(label="32", body=32, **places):
    row = {"garment": "trousers", "label": label, "body": body, "length_class": "regular"}
    return row | {"waist": body + 0.75, "inside_leg": 36} | places


def labels(sizes):
    return tuple(size.label for size in sizes)


def faults_of(*rows, head=HEAD):
    with pytest.raises(Refusal) as caught:
        chart(head, rows)
    assert "chart_invalid" == caught.value.code
    assert "; ".join(part.facts["words"] for part in caught.value.parts) == caught.value.facts["words"]
    return tuple(part.facts["words"] for part in caught.value.parts)
