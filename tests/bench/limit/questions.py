"""What is asked; it imports nothing, so that a start is measured without the rest of the bench."""

ADVICE = {
    "readings": [
        {"dimension": "chest_girth", "value": "38 1/4", "unit": "in"},
        {"dimension": "trouser_waist_girth", "value": 33, "unit": "in"},
        {"dimension": "stature", "value": 178, "unit": "cm"},
    ]
}
