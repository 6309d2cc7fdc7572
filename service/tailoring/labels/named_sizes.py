"""A size that a customer wears, by a label of a size system, of whatever maker: what it says of the body.

The maker is not known, so the makers' spread (`label_sd`) is part of the error, beside that of the customer's word.
A label that names no system may be of several: readings that overlap are one, those that are far from what else is
known fall away, and where more than one is left it is asked which. None is picked in silence.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import chain

from service.tailoring.body.body import Body
from service.tailoring.body.intervals import Interval
from service.tailoring.body.plausibility import FLAG_Z, z_of
from service.tailoring.body.population import Observation
from service.tailoring.body.readings import dimensions
from service.tailoring.body.wears import FITS_SD_MM, SAID_SD_MM, How, interval_seen
from service.tailoring.garments.charts import Garment
from service.tailoring.garments.places import places
from service.tailoring.labels.designation_systems import DROP, DROP_OF, Cell, System, system_named, systems
from service.tailoring.labels.short_forms import ShortForm, short_form
from service.tailoring.notices import Notice
from service.tailoring.quantities import inches, inches_text
from service.tailoring.refusals import Refusal, Where

# Whose letters of length classes are the trade's, on labels of every system that has a number for the girth.
LENGTHS_OF = "inch_jacket"
# Finished legs are sold two inches apart (common practice, no source), between these.
LEG_STEP_IN, LEGS_IN = 2, (24, 40)

# The girths that labels speak of: of two that are in one, the first is what the garment is sold by.
GIRTHS = ("trouser_waist_girth", "chest_girth", "waist_girth")

# What a label says of the body: a range [least, most) in mm for each dimension.
Ranges = Mapping[str, tuple[float, float]]


@dataclass(frozen=True, slots=True)
class NamedSize:
    """A label of a size system, or of none that is named, on a garment that the customer wears."""

    garment: Garment
    label: str
    how: How
    system: str | None = None


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a label may mean: in which systems, and what it then says of the body."""

    systems: tuple[str, ...]
    ranges: Ranges

    @property
    def girth(self) -> tuple[str, tuple[float, float]]:
        """The girth that it speaks of, and its range."""
        return next((name, self.ranges[name]) for name in GIRTHS if name in self.ranges)

    def overlaps(self, other: Meaning) -> bool:
        """Whether another one that begins no lower speaks of the same girth, and of some of its range."""
        (name, (_, most)), (its, (least, _)) = self.girth, other.girth
        return name == its and least < most


def understood(body: Body, named: Sequence[tuple[Where, NamedSize]]) -> Body:
    """The body with what labels say of it, each at its place in the request.

    A label that names no system is judged by all else that is known, the labels that name one among it.
    Raises what `meanings` does.
    """
    found = [(at, each, meanings(each, at)) for at, each in named]
    sure = [(at, each, means[0]) for at, each, means in found if each.system]
    known = body.also(tuple(chain.from_iterable(_evidence(each, of) for _, each, of in sure)))
    notices = [_taken(at, each, of) for at, each, of in sure]
    seen: list[Observation] = []
    for at, each, means in found:
        if each.system:
            continue
        left = [meaning for meaning in means if _goes_with(known, meaning)]
        if len(left) == 1:
            seen += _evidence(each, left[0])
            notices.append(_taken(at, each, left[0]))
        else:
            notices.append(_which(at, each, left or means, goes=bool(left)))
    return known.also(tuple(seen), tuple(sorted(notices, key=lambda notice: notice.at)))


def meanings(named: NamedSize, at: Where = ()) -> tuple[Meaning, ...]:
    """What a label may mean, one meaning for all systems whose readings overlap; the smallest girth first.

    Raises Refusal `designation_system_unknown`, `designation_not_of_garment`, `designation_unreadable` or
    `designation_outside`, and `label_of_no_system` where no system is named and none reads it.
    """
    if named.system is not None:
        try:
            return (Meaning((named.system,), ranges_of(named.system, named.garment, named.label)),)
        except Refusal as refusal:
            raise refusal.within(*at) from None
    read: list[Meaning] = []
    for system in systems_of(named.garment):
        try:
            read.append(Meaning((system,), ranges_of(system, named.garment, named.label)))
        except Refusal:
            continue
    if not read:
        raise Refusal("label_of_no_system", (*at, "label"), given=named.label, allowed=systems_of(named.garment))
    merged: list[Meaning] = []
    for each in sorted(read, key=lambda meaning: meaning.girth):
        if merged and merged[-1].overlaps(each):
            merged[-1] = _merged(merged[-1], each)
        else:
            merged.append(each)
    return tuple(merged)


def systems_of(garment: Garment) -> tuple[str, ...]:
    """The systems whose labels are found on a garment."""
    return tuple(name for name, system in systems().items() if garment in system.garments)


def ranges_of(system: str, garment: Garment, label: str) -> dict[str, tuple[float, float]]:
    """What a label of a system says of the body, in its own form or a short one. Raises what `meanings` does."""
    asked = system_named(system)
    if garment not in asked.garments:
        raise Refusal(
            "designation_not_of_garment", ("system",), system=system, garment=garment, allowed=systems_of(garment)
        )
    written = short_form(label, legs=garment == "trousers")
    numbered = written.number is not None and all(part.name == "length" for part in asked.parts[1:])
    if not numbered or written.number is None:
        return _of_cells(asked.read(written.text))
    (part, *_) = asked.parts
    cell = next((cell for cell in part.cells if cell.code == written.number), None)
    if cell is None:
        raise Refusal(
            "designation_outside", ("label",), system=system, part=part.name, given=written.number, allowed=part.codes
        )
    ranges = _of_custom(asked, float(cell.code)) if asked.custom else _of_cells({part.name: cell})
    return {**ranges, **_of_lengths(written)}


def _of_cells(cells: Mapping[str, Cell]) -> dict[str, tuple[float, float]]:
    bounds = {bound.measure: bound for cell in cells.values() for bound in cell.bounds}
    drop = bounds.pop(DROP, None)
    found = {name: (bound.least, bound.most) for name, bound in bounds.items()}
    if drop:
        chest = bounds[DROP_OF[0]]
        middle = (chest.least + chest.most - drop.least - drop.most) / 2
        # As wide as a range that spreads like the two together.
        half = math.hypot(chest.most - chest.least, drop.most - drop.least) / 2
        found[DROP_OF[1]] = (middle - half, middle + half)
    return found


def _of_custom(asked: System, number: float) -> dict[str, tuple[float, float]]:
    """From the girth behind the least of the stem's numbers to that behind the most."""
    if asked.custom is None:
        return {}
    low, high = asked.custom.span_behind(number)
    (stem, *_) = systems()[asked.custom.stem].parts
    (bound,) = stem.cells[0].bounds
    # From a stem's number to the tape, as its own cells have it.
    below, above = (edge - inches(float(stem.cells[0].code)) for edge in (bound.least, bound.most))
    return {bound.measure: (inches(low) + below, inches(high) + above)}


def _of_lengths(written: ShortForm) -> dict[str, tuple[float, float]]:
    found: dict[str, tuple[float, float]] = {}
    if written.length:
        (lengths,) = (part for part in systems()[LENGTHS_OF].parts if part.name == "length")
        (cell,) = (cell for cell in lengths.cells if cell.code == written.length)
        found |= _of_cells({"length": cell})
    if written.inside_leg_in is not None:
        least, most = LEGS_IN
        if not least <= written.inside_leg_in <= most:
            legs = tuple(str(leg) for leg in range(least, most + 1))
            given = str(written.inside_leg_in)
            raise Refusal(
                "designation_outside", ("label",), system="inch_trouser", part="leg", given=given, allowed=legs
            )
        leg = next(place for place in places("trousers") if place.name == "inside_leg")
        middle = inches(written.inside_leg_in) - leg.ideal_mm["usual"]
        found[leg.dimension] = (middle - inches(LEG_STEP_IN) / 2, middle + inches(LEG_STEP_IN) / 2)
    return found


def _merged(one: Meaning, other: Meaning) -> Meaning:
    """One meaning of two: from end to end, of what both speak of."""
    both = {
        name: (min(range_[0], other.ranges[name][0]), max(range_[1], other.ranges[name][1]))
        for name, range_ in one.ranges.items()
        if name in other.ranges
    }
    return Meaning((*one.systems, *other.systems), both)


def _goes_with(known: Body, meaning: Meaning) -> bool:
    """Whether it is within a few SDs of what else is known, everywhere; so is what nothing is known of."""
    for name, (least, most) in meaning.ranges.items():
        sd = math.hypot((most - least) / math.sqrt(12), dimensions()[name].label_sd_mm or 0.0)
        if known.knows(name) and abs(z_of(known.belief, Observation(name, (least + most) / 2, sd))) > FLAG_Z:
            return False
    return True


def _evidence(named: NamedSize, meaning: Meaning) -> tuple[Observation, ...]:
    own = FITS_SD_MM if named.how == "fits" else SAID_SD_MM
    return tuple(
        interval_seen(name, Interval(least, most, math.hypot(own, dimensions()[name].label_sd_mm or 0.0)))
        for name, (least, most) in meaning.ranges.items()
    )


def _said(meaning: Meaning) -> str:
    name, (least, most) = meaning.girth
    called = dict.fromkeys(system_named(system).said for system in meaning.systems)
    both = f"{inches_text(least)} to {inches_text(most)} in / {least / 10:.0f} to {most / 10:.0f} cm"
    return f"{' or '.join(called)} ({dimensions()[name].words} {both})"


def _taken(at: Where, named: NamedSize, meaning: Meaning) -> Notice:
    words = f"{named.garment} {named.label} is taken as {_said(meaning)}: a range, and makers differ."
    return Notice("label_is_an_interval", at, words, facts=(("given", named.label), ("systems", meaning.systems)))


def _which(at: Where, named: NamedSize, candidates: Sequence[Meaning], *, goes: bool) -> Notice:
    lists = "; ".join(_said(meaning) for meaning in candidates)
    asks = "Which is it?" if goes else "None of these goes with what else is known. Which is it?"
    words = f"{named.garment} {named.label} may be {lists}. {asks} It is left out until that is known."
    names = tuple(name for meaning in candidates for name in meaning.systems)
    return Notice("which_size_system", at, words, facts=(("given", named.label), ("candidates", names)))
