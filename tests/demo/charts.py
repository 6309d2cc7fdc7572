"""The charts of the demo's shop, as JSON."""

import csv

from tests.house import HOUSE


def everyday():
    """Only the cells that are filled. One label has a colon, as a shop's may."""
    with (HOUSE / "demo" / "charts" / "everyday.csv").open(encoding="utf-8", newline="") as lines:
        sizes = [{name: cell for name, cell in row.items() if cell} for row in csv.DictReader(lines)]
    for size in sizes:
        size["label"] = {"38R": "38:R"}.get(size["label"], size["label"])
    return {"title": "Everyday", "unit": "in", "sold": "separates", "unfinished": True, "sizes": sizes}
