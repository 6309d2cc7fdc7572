"""Charts: a block's finished garment measures, size by size, and what is sold together.

A chart is checked whole when it is loaded and never changes afterwards: another load is another revision.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from functools import cache
from itertools import pairwise, product, starmap
from typing import Literal, TypeAlias, cast

from service.tailoring import tables
from service.tailoring.garments.article_numbers import article_numbers, check_told_apart
from service.tailoring.garments.chart_faults import ChartFaults, labels_near
from service.tailoring.quantities import Length, LengthUnit, inches, length
from service.tailoring.refusals import Refusal

Garment: TypeAlias = Literal["jacket", "trousers", "waistcoat"]
LengthClass: TypeAlias = Literal["extra_short", "short", "regular", "long", "extra"]
Sold: TypeAlias = Literal["separates", "pairs"]

GARMENTS: tuple[Garment, ...] = ("jacket", "trousers", "waistcoat")
PLURALS: dict[Garment, str] = {"jacket": "jackets", "trousers": "trousers", "waistcoat": "waistcoats"}
# What a customer asks for who says nothing; a waistcoat is asked for by name.
SUIT: tuple[Garment, ...] = ("jacket", "trousers")
# `extra` is longer than long.
LENGTH_CLASSES: tuple[LengthClass, ...] = ("extra_short", "short", "regular", "long", "extra")
SOLD: tuple[Sold, ...] = ("separates", "pairs")

# Each garment's places: those that a chart must give, those that it may, and the one whose grade makes the size.
REQUIRED: dict[str, tuple[str, ...]] = {
    "jacket": ("chest", "waist", "sleeve", "back_length"),
    "trousers": ("waist", "inside_leg"),
    "waistcoat": ("chest", "waist"),
}
OPTIONAL: dict[str, tuple[str, ...]] = {
    "jacket": ("seat", "shoulder", "back_width"),
    "trousers": ("seat", "thigh", "rise", "hem"),
    "waistcoat": ("length",),
}
# A source may stand beside each size; what else is there is a slip of the pen.
KNOWN_COLUMNS = {
    *("garment", "label", "body", "length_class", "source", "sku", "gtin"),
    *(place for places in (*REQUIRED.values(), *OPTIONAL.values()) for place in places),
}
SIZED_BY: dict[str, str] = {"jacket": "chest", "trousers": "waist", "waistcoat": "chest"}
# Finished chest (waist) less the body it is cut for: outside this no shop sells it (jacket_ease: 2 to 7 in with
# room for odd cuts; common practice, no source).
EASE_IN: dict[str, tuple[float, float]] = {"jacket": (0, 10), "trousers": (-1, 4), "waistcoat": (0, 6)}
# No place of a man's suit is outside this: a chart whose cells are stands in another unit.
MEASURE_LEAST_IN, MEASURE_MOST_IN = 5, 90
SIZES_MOST = 250
LABEL_LONGEST = 20
# A pair's bodies may miss the drop by this much: charts in centimetres cannot hit whole inches.
DROP_SLACK_IN = 0.3


@dataclass(frozen=True, slots=True)
class GarmentSize:
    """One size: its label, its length class, the body it is cut for and its finished measures (mm by place).

    `sku` and `gtin` are its article numbers, where the shop has given it any.
    """

    label: str
    length_class: LengthClass
    body_mm: float
    measures: tuple[tuple[str, float], ...]
    sku: str | None = None
    gtin: str | None = None

    def mm(self, place: str) -> float | None:
        """The finished measure at `place`, if the chart gives it."""
        return dict(self.measures).get(place)


@dataclass(frozen=True, slots=True)
class ChartSize:
    """A size of a chart's revision by name, wherever one is chosen, worn or planned, with its article numbers."""

    chart: str
    revision: int
    label: str
    sku: str | None = field(default=None, compare=False)
    gtin: str | None = field(default=None, compare=False)


# Compared by identity: a revision is built once, and arrays are kept for it by that key.
@dataclass(frozen=True, slots=True, eq=False)
class Chart:
    """A block as it is sold: `sizes` by garment, with an entry for each. `drop_mm` only for pairs: chest less waist.

    `unfinished`: trousers are sold with the leg uncut. `worked_buttonholes`: cuffs cannot be moved. `inlays`: how many
    mm of an alteration come out of the inlay that benches found in pieces of this revision.
    """

    code: str
    title: str
    unit: LengthUnit
    sold: Sold
    sizes: Mapping[Garment, tuple[GarmentSize, ...]]
    drop_mm: float | None = None
    unfinished: bool = True
    worked_buttonholes: bool = False
    revision: int = 1
    inlays: tuple[tuple[str, float], ...] = ()

    def size(self, garment: Garment, label: str) -> GarmentSize:
        """The size of that label. Raises Refusal `label_unknown`."""
        for found in self.sizes[garment]:
            if found.label == label:
                return found
        there = labels_near([size.label for size in self.sizes[garment]], label)
        raise Refusal("label_unknown", ("label",), given=label, chart=self.code, garment=garment, allowed=there)

    def named(self, size: GarmentSize) -> ChartSize:
        """One of its sizes by name."""
        return ChartSize(self.code, self.revision, size.label, size.sku, size.gtin)

    def sold_together(self, jacket: GarmentSize, trousers: GarmentSize) -> bool:
        """Whether a customer may leave with these two."""
        if self.sold == "separates" or self.drop_mm is None:
            return True
        return abs(jacket.body_mm - trousers.body_mm - self.drop_mm) <= inches(DROP_SLACK_IN)


@dataclass(frozen=True, slots=True)
class ChartHead:
    """What a chart says of all its sizes."""

    code: str
    title: str
    unit: LengthUnit = "in"
    sold: Sold = "separates"
    drop: Length | None = None
    unfinished: bool = True
    worked_buttonholes: bool = False


def chart(head: ChartHead, rows: Sequence[Mapping[str, object]], revision: int = 1) -> Chart:
    """Build a chart from `rows` (one a size: garment, label, body, length_class and a column a place).

    Cells are lengths in the head's unit, as numbers or tailor's notation. Row 1 is the first row of sizes.
    Raises Refusal `chart_invalid` with every fault found among its `parts`, each pointing at ("sizes", i, column).
    """
    faults = ChartFaults()
    if (head.sold == "pairs") != (head.drop is not None):
        faults.add(None, "drop", "pairs need a drop, separates have none")
    if not 0 < len(rows) <= SIZES_MOST:
        faults.add(None, "sizes", f"between 1 and {SIZES_MOST} are wanted, not {len(rows)}")
        raise faults.refusal()
    sizes: dict[Garment, list[tuple[int, GarmentSize]]] = {garment: [] for garment in GARMENTS}
    for number, row in enumerate(rows, start=1):
        garment = row.get("garment")
        if garment not in GARMENTS:
            faults.add(number, "garment", "jacket, trousers or waistcoat")
            continue
        size = _size(head, str(garment), number, row, faults)
        if size:
            sizes[garment].append((number, size))
    if not faults.found:
        for garment in GARMENTS:
            _check_block(garment, sizes[garment], faults)
        numbered = [(at, garment, size.sku, size.gtin) for garment in GARMENTS for at, size in sizes[garment]]
        check_told_apart(numbered, faults, in_pairs=head.sold == "pairs")
    if faults.found:
        raise faults.refusal()
    built = Chart(
        code=head.code,
        title=head.title,
        unit=head.unit,
        sold=head.sold,
        sizes={garment: tuple(size for _, size in sizes[garment]) for garment in GARMENTS},
        drop_mm=head.drop.mm if head.drop else None,
        unfinished=head.unfinished,
        worked_buttonholes=head.worked_buttonholes,
        revision=revision,
    )
    pairs = product(built.sizes["jacket"], built.sizes["trousers"])
    if built.sold == "pairs" and not any(starmap(built.sold_together, pairs)):
        faults.add(None, "drop", "no jacket and trousers are cut that far apart")
        raise faults.refusal()
    return built


def same_chart(one: Chart, other: Chart) -> bool:
    """Whether two revisions say the same."""
    said = [each.name for each in fields(Chart) if each.name not in {"revision", "inlays"}]
    return all(getattr(one, name) == getattr(other, name) for name in said)


@cache
def reference_chart() -> Chart:
    """The reference block, for a shop without charts of its own: never a fact about anyone's garments."""
    head = ChartHead(code="reference", title="Reference block: common practice, not any maker's garments")
    return chart(head, tables.rows("garments/reference_chart"))


@cache
def reference_charts() -> dict[str, Chart]:
    """The reference block and the same cut for other drops, by code: what a shop without charts can ask for."""
    first = reference_chart()
    blocks = [_block(first, row) for row in tables.rows("garments/reference_blocks")]
    return {built.code: built for built in (first, *blocks)}


def _block(first: Chart, row: Mapping[str, str]) -> Chart:
    """The reference block with the waist and the seat of what is sized by the chest moved, and the trousers' seat.

    Men of one chest whose waist is larger have a larger seat; men of one waist whose chest is larger have one too.
    """
    by_chest = {place: inches(float(row[f"{place}_shift_in"])) for place in ("waist", "seat")}
    by_waist = {place: inches(float(row[f"trouser_{place}_shift_in"])) for place in ("seat", "thigh")}

    def moved(garment: Garment) -> tuple[GarmentSize, ...]:
        shifts = by_chest if SIZED_BY[garment] == "chest" else by_waist
        return tuple(
            replace(size, measures=tuple((place, mm + shifts.get(place, 0.0)) for place, mm in size.measures))
            for size in first.sizes[garment]
        )

    return replace(
        first, code=row["code"], title=row["title"], sizes={garment: moved(garment) for garment in first.sizes}
    )


def _size(
    head: ChartHead, garment: str, number: int, row: Mapping[str, object], faults: ChartFaults
) -> GarmentSize | None:
    before = len(faults.found)
    label = str(row.get("label") or "").strip()
    if not 0 < len(label) <= LABEL_LONGEST:
        faults.add(number, "label", f"between 1 and {LABEL_LONGEST} characters are wanted")
    length_class = row.get("length_class") or "regular"
    if length_class not in LENGTH_CLASSES:
        faults.add(number, "length_class", f"{', '.join(LENGTH_CLASSES[:-1])} or {LENGTH_CLASSES[-1]}")
    for column in row.keys() - KNOWN_COLUMNS:
        faults.add(number, str(column), "is not a column of a chart")
    body = _cell(head, row.get("body"), number, "body", faults)
    measures: list[tuple[str, float]] = []
    for place in (*REQUIRED[garment], *OPTIONAL[garment]):
        value = row.get(place)
        if value not in (None, ""):
            measures.append((place, _cell(head, value, number, place, faults)))
        elif place in REQUIRED[garment]:
            faults.add(number, place, "is missing")
    numbers = article_numbers(row, number, faults)
    if len(faults.found) > before:
        return None
    return GarmentSize(label, cast("LengthClass", length_class), body, tuple(measures), *numbers)


def _cell(head: ChartHead, value: object, number: int, column: str, faults: ChartFaults) -> float:
    text = _number_or_text(value)
    try:
        mm = length(text, head.unit).mm
    except Refusal as refusal:
        faults.add(number, column, f"{value!r:.40} is not a length in {head.unit} ({refusal.facts.get('hint', '')})")
        return 0.0
    if not inches(MEASURE_LEAST_IN) <= mm <= inches(MEASURE_MOST_IN):
        faults.add(number, column, f"{Length(mm, head.unit).text} cannot be a garment's: check the chart's unit")
    return mm


def _number_or_text(value: object) -> object:
    return value.strip() if isinstance(value, str) else value


def _check_block(garment: Garment, sizes: list[tuple[int, GarmentSize]], faults: ChartFaults) -> None:
    """Labels unique, no holes, plausible ease, a grade that grows within each length class."""
    seen: dict[str, int] = {}
    for number, size in sizes:
        if size.label in seen:
            faults.add(number, "label", f"{size.label} is in row {seen[size.label]} already")
        seen.setdefault(size.label, number)
        low, high = EASE_IN[garment]
        ease_mm = (size.mm(SIZED_BY[garment]) or 0.0) - size.body_mm
        if not inches(low) <= ease_mm <= inches(high):
            faults.add(number, SIZED_BY[garment], f"an ease of {ease_mm:.0f} mm over the body is implausible")
    for place in OPTIONAL[garment]:
        empty = [number for number, size in sizes if size.mm(place) is None]
        if empty and len(empty) < len(sizes):
            faults.add(empty[0], place, "is empty here and filled elsewhere: fill the column or leave it out")
    for length_class in LENGTH_CLASSES:
        run = sorted((s for s in sizes if s[1].length_class == length_class), key=lambda s: s[1].body_mm)
        _check_grade(garment, run, faults)


def _check_grade(garment: Garment, run: list[tuple[int, GarmentSize]], faults: ChartFaults) -> None:
    for (_, smaller), (number, larger) in pairwise(run):
        if larger.body_mm == smaller.body_mm:
            faults.add(number, "body", f"{larger.label} is cut for the same body as {smaller.label}")
        for place, mm in larger.measures:
            before = smaller.mm(place)
            if before is None or mm > before or (mm == before and place != SIZED_BY[garment]):
                continue
            faults.add(number, place, f"does not grow from {smaller.label} to {larger.label}")
