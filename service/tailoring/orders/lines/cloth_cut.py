"""What a leg is made of, and what of a line's cloth the bench has cut already."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from service.tailoring.hems.breaks import Shoe
from service.tailoring.hems.hems import Hem, Leg
from service.tailoring.quantities import Length


@dataclass(frozen=True, slots=True)
class LegEnding:
    """How a pinned leg ends: its hem, the leg that it is made of, and the shoe that was worn."""

    hem: Hem
    leg: Leg
    shoe: Shoe | None = None


@dataclass(frozen=True, slots=True)
class Cut:
    """That the bench has cut the cloth of a line, by whom and when; what was cut off is not there any more.

    `length` is a leg's, inside leg to its raw edge. `left` is the cloth that stayed in another seam, beyond what stays
    sewn: so far the line may still be let out again.
    """

    by: str
    at: datetime
    length: Length | None = None
    left: Length | None = None
