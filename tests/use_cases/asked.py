"""The plainest order, as the use cases are asked for it."""

from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.orders.lines.order_lines import LineAsked
from service.tailoring.orders.sheets.order_sheets import SheetAsked
from service.tailoring.quantities import Length
from service.tailoring.workroom.placing import OrderAsked

HEM = LineAsked(1, "trouser_hem", Amount(Length(50.8), "length", "decrease", "both"), marked_with="pins")
ASKED = OrderAsked(SheetAsked((GarmentPiece(1, "trousers"),), (HEM,)), marked_by="fitter-1")
