"""The size systems of standards and of the trade: what their labels state, and how these are written and read.

A system is data (`tables/designation_*.csv`): its parts, each a row of cells; a cell's code and what it says of the
body. Systems of kind `body` state body measures. Kind `custom` is a convention between labels (European jacket =
inch + 10) and states none: its labels are known only by those of the system from which it stems.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from itertools import groupby
from typing import Literal, NamedTuple, TypeAlias, cast

from service.tailoring import tables
from service.tailoring.body.readings import dimensions
from service.tailoring.garments.charts import GARMENTS, Garment
from service.tailoring.quantities import Length, LengthUnit, inches
from service.tailoring.refusals import Refusal

Kind: TypeAlias = Literal["body", "custom"]
KINDS: tuple[Kind, ...] = ("body", "custom")

# Chest less waist, as body types count it; every other measure is a dimension.
DROP = "drop"
DROP_OF = ("chest_girth", "waist_girth")


@dataclass(frozen=True, slots=True)
class Bound:
    """What a cell says of one measure (mm): its middle, and the half-open range [least, most)."""

    measure: str
    middle: float
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class Cell:
    """One code of a part, and the bodies that it names."""

    code: str
    bounds: tuple[Bound, ...]


class MeasureSteps(NamedTuple):
    """A measure that a part states, and the widths of its cells."""

    measure: str
    steps: tuple[Length, ...]


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a label: its cells do not overlap."""

    name: str
    unit: LengthUnit
    cells: tuple[Cell, ...]
    sources: tuple[str, ...]

    @property
    def codes(self) -> tuple[str, ...]:
        """The codes of its cells."""
        return tuple(cell.code for cell in self.cells)

    @property
    def measures(self) -> tuple[MeasureSteps, ...]:
        """What its cells state, each measure with the widths of its steps, the narrowest first."""
        widths: dict[str, set[float]] = {}
        for bound in (bound for cell in self.cells for bound in cell.bounds):
            widths.setdefault(bound.measure, set()).add(round(bound.most - bound.least, 3))
        return tuple(
            MeasureSteps(measure, tuple(Length(mm, self.unit) for mm in sorted(steps)))
            for measure, steps in widths.items()
        )


@dataclass(frozen=True, slots=True)
class Custom:
    """A convention between labels: the number of the stem's `part` and `add`; its own number is half a girth.

    `half_girths_cm` is what that half girth has over half the stem's girth (trousers: the drop of their suit).
    """

    stem: str
    part: str
    add: float
    half_girths_cm: float
    step: float

    def span_of(self, number: float) -> tuple[float, float]:
        """Between which custom labels the stem's label `number` is found."""
        return _ordered(number + self.add, number * inches(1) / 20 + self.half_girths_cm)

    def span_behind(self, number: float) -> tuple[float, float]:
        """Between which stem's labels the custom label `number` is found."""
        return _ordered(number - self.add, (number - self.half_girths_cm) * 20 / inches(1))

    def error_mm(self, stem_number: float, number: float) -> float:
        """By how much of the girth the label `number` falls short of the girth that the stem's number names."""
        return 20 * (stem_number * inches(1) / 20 + self.half_girths_cm - number)


@dataclass(frozen=True, slots=True)
class System:
    """A size system: what its labels state, how they are written and read, and on which garments they are found.

    `said` is what a shop calls it.
    """

    name: str
    kind: Kind
    said: str
    words: str
    form: str
    grammar: str
    example: str
    source: str
    parts: tuple[Part, ...]
    custom: Custom | None = None
    garments: tuple[Garment, ...] = ()

    @property
    def measures(self) -> tuple[str, ...]:
        """The measures that its labels state; a custom states none."""
        bounds = [b.measure for part in self.parts for cell in part.cells for b in cell.bounds]
        return tuple(dict.fromkeys(bounds))

    @property
    def dimensions(self) -> tuple[str, ...]:
        """The dimensions behind its measures; a custom has none of its own."""
        return tuple(dict.fromkeys(name for m in self.measures for name in (DROP_OF if m == DROP else (m,))))

    def write(self, codes: Mapping[str, str]) -> str:
        """The label with these codes, a code a part."""
        return self.form.format_map(codes)

    def read(self, label: str) -> dict[str, Cell]:
        """The cells that `label` names, by part. Raises `designation_unreadable` or `designation_outside`."""
        match = re.fullmatch(_grammar(self), label)
        if match is None:
            facts = {"given": label, "system": self.name, "grammar": self.grammar, "example": self.example}
            raise Refusal("designation_unreadable", ("label",), **facts)
        found: dict[str, Cell] = {}
        for part in self.parts:
            cells = {cell.code: cell for cell in part.cells}
            if match[part.name] not in cells:
                raise Refusal(
                    "designation_outside", ("label",), system=self.name, part=part.name,
                    given=match[part.name], allowed=tuple(cells),
                )  # fmt: skip
            found[part.name] = cells[match[part.name]]
        return found


@cache
def systems() -> dict[str, System]:
    """Every size system, by name."""
    customs = {row["system"]: row for row in tables.rows("labels/designation_customs")}
    cells = tables.rows("labels/designation_cells")
    return {
        row["system"]: _system(row, cells, customs.get(row["system"]))
        for row in tables.rows("labels/designation_systems")
    }


def system_named(name: str) -> System:
    """The system of that name. Raises Refusal `designation_system_unknown`."""
    found = systems().get(name)
    if found is None:
        raise Refusal("designation_system_unknown", ("system",), given=name, allowed=tuple(systems()))
    return found


def _grammar(system: System) -> str:
    """The form of a label as a pattern: a part of numbers takes any number, one of words only its words."""
    pieces = re.split(r"\{(\w+)\}", system.form)
    patterns = {part.name: f"(?P<{part.name}>{_codes(part)})" for part in system.parts}
    return "".join(patterns.get(piece) or re.escape(piece) for piece in pieces)


def _codes(part: Part) -> str:
    codes = [cell.code for cell in part.cells]
    if all(code.isdigit() for code in codes):
        return "[1-9][0-9]{0,2}"
    return "|".join(sorted(map(re.escape, codes), key=len, reverse=True))


def _system(row: dict[str, str], cells: list[dict[str, str]], custom: dict[str, str] | None) -> System:
    mine = [each for each in cells if each["system"] == row["system"]]
    parts = tuple(_part(name, list(rows)) for name, rows in groupby(mine, key=lambda each: each["part"]))
    return System(
        name=row["system"],
        kind=cast("Kind", row["kind"]),
        said=row["said"],
        words=row["words"],
        form=row["form"],
        grammar=row["grammar"],
        example=row["example"],
        source=row["source"],
        parts=(_custom_part(custom),) if custom else parts,
        custom=_custom(custom) if custom else None,
        garments=tuple(garment for garment in GARMENTS if garment in row["garments"].split()),
    )


def _part(name: str, rows: list[dict[str, str]]) -> Part:
    cells = tuple(
        Cell(code, tuple(_bound(row) for row in bounds)) for code, bounds in groupby(rows, key=lambda row: row["code"])
    )
    return Part(name, cast("LengthUnit", rows[0]["unit"]), cells, tuple(dict.fromkeys(row["source"] for row in rows)))


def _bound(row: dict[str, str]) -> Bound:
    known = dimensions().get(row["measure"])
    # Makers' labels drift from the tape; where the trade says how far, the cell lies where the tape finds it.
    drift = known.label_bias_mm or 0.0 if known else 0.0
    factor = inches(1) if row["unit"] == "in" else 10.0
    return Bound(row["measure"], *(float(row[edge]) * factor + drift for edge in ("middle", "least", "most")))


def _custom(row: dict[str, str]) -> Custom:
    add, half_girths_cm, step = (float(row[name]) for name in ("add", "half_girths_cm", "step"))
    return Custom(row["stem"], row["part"], add, half_girths_cm, step)


def _custom_part(row: dict[str, str]) -> Part:
    numbers = range(int(row["first"]), int(row["last"]) + 1, int(row["step"]))
    return Part("size", "cm", tuple(Cell(str(number), ()) for number in numbers), (row["source"],))


def _ordered(one: float, other: float) -> tuple[float, float]:
    return min(one, other), max(one, other)
