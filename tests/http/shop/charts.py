"""A chart as callers send it."""

CHART = {
    "title": "Everyday",
    "unit": "in",
    "sold": "separates",
    "sizes": [
        {"garment": "jacket", "label": "36R", "body": 36, "chest": 40, "waist": "34 1/2", "sleeve": "24½",
         "back_length": 29.5},
        {"garment": "jacket", "label": "38R", "body": 38, "chest": 42, "waist": "36 1/2", "sleeve": "24 3/4",
         "back_length": 29.75, "length_class": "regular"},
        {"garment": "trousers", "label": "30", "body": 30, "waist": 30.75, "inside_leg": 36},
        {"garment": "waistcoat", "label": "38", "body": 38, "chest": 40.5, "waist": 34},
    ],
}  # fmt: skip


def put(client, chart, code="everyday", **changed):
    return client.ask("PUT", f"/v1/charts/{code}", chart | changed)
