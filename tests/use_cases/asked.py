"""The plainest order, as the use cases are asked for it."""

from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.orders.order_lines import LineAsked
from service.tailoring.quantities import Length
from service.use_cases.orders.order_sheet import SheetAsked
from service.use_cases.orders.orders import OrderAsked

HEM = LineAsked(1, "trouser_hem", Amount(Length(50.8), "length", "decrease", "both"))
ASKED = OrderAsked(SheetAsked((GarmentPiece(1, "trousers"),), (HEM,)), marked_by="ann")
