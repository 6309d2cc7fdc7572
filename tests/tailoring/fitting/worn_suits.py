"""A worn suit, the customer whom it fits, and the fit check of both."""

from dataclasses import replace

from service.tailoring import tables
from service.tailoring.body.body import read_body
from service.tailoring.fitting.evidence import Worn
from service.tailoring.fitting.fit_checks import check_fit
from service.tailoring.garments.charts import ChartHead, chart
from service.tailoring.garments.places import places
from tests.tailoring.men import QUESTION, read

# The reference block with its legs hemmed at 30 in: a worn suit is a finished one.
HEMMED = chart(
    ChartHead("hemmed", "Reference block, hemmed", unfinished=False),
    [
        row | ({"inside_leg": "30"} if row["garment"] == "trousers" else {})
        for row in tables.rows("garments/reference_chart")
    ],
)
ASKED = replace(QUESTION, charts=(HEMMED,))
WAISTS = ("natural_waist_girth", "waist_girth", "trouser_waist_girth")
JACKET, TROUSERS = {"jacket": "40R"}, {"trousers": "34"}
SUIT = JACKET | TROUSERS


def man(*unread, jacket="40R", trousers="34"):
    """The man for whom these sizes are right at every place, taped twice but for `unread`."""
    wanted_mm = {}
    for garment, label in (("jacket", jacket), ("trousers", trousers)):
        for place in places(garment):
            garment_mm = HEMMED.size(garment, label).mm(place.name)
            if garment_mm is not None and (garment, place.name) != ("trousers", "seat"):
                wanted_mm[place.dimension] = (garment_mm - place.ideal_mm["usual"]) / place.share
    return read_body(tuple(read(name, mm, times=2) for name, mm in wanted_mm.items() if name not in unread))


def checked(body, *sightings, worn=SUIT, asked=ASKED):
    return check_fit(body, asked, Worn(asked.charts[0], worn), sightings)
