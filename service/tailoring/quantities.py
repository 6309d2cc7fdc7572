"""Lengths and masses: read as a tailor writes them, kept exactly, written back as he reads them.

pint supplies the factors between units and never sees a caller's text: it reads "81,5" as 815 and
"32 1/2 in" as a product. The grammar below is our own and refuses whatever it does not know.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Literal, NamedTuple, TypeAlias

from service.tailoring.refusals import Refusal

if TYPE_CHECKING:
    import pint

LengthUnit: TypeAlias = Literal["in", "cm", "mm"]
MassUnit: TypeAlias = Literal["kg", "lb", "st"]

LENGTH_UNITS: tuple[LengthUnit, ...] = ("in", "cm", "mm")
MASS_UNITS: tuple[MassUnit, ...] = ("kg", "lb", "st")

# Exactly (international inch, 1959; NIST SP 811): what is written in inches here waits for no registry of units.
INCH_MM = Fraction(127, 5)
# Wider than any tape or scale in a shop; what is right for one dimension is judged in `body`.
LENGTH_MOST_MM = 10_000
MASS_MOST_KG = 1_000
TEXT_LONGEST = 16

# The units of the trade as pint is told them (NIST SP 811, appendix B): of its own thousand none other is ever asked
# for, and to read them takes longer than all else of a first answer. A test holds these to its own.
_DEFINITIONS = (
    "meter = [length]",
    "gram = [mass]",
    "kilo- = 1e3",
    "centi- = 1e-2",
    "milli- = 1e-3",
    "inch = 25.4 * millimeter",
    "pound = 0.45359237 * kilogram",
    "stone = 14 * pound",
)
_PINT_NAMES = {
    "in": "inch",
    "cm": "centimeter",
    "mm": "millimeter",
    "kg": "kilogram",
    "lb": "pound",
    "st": "stone",
}
_PLACES = {"in": 3, "cm": 2, "mm": 1}
_EIGHTHS = ("", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8")
_VULGAR = {"½": (1, 2), "¼": (1, 4), "¾": (3, 4), "⅛": (1, 8), "⅜": (3, 8), "⅝": (5, 8), "⅞": (7, 8)}
# Whole, decimal, or whole and a fraction of a tape's divisions. ASCII digits only: [0-9], not \d.
_NOTATION = re.compile(
    r"(?P<decimal>[0-9]+\.[0-9]+)"
    r"|(?:(?P<whole>[0-9]+)(?:(?: +|-)(?=[0-9½¼¾⅛⅜⅝⅞])|(?=[½¼¾⅛⅜⅝⅞])|$))?"
    r"(?:(?P<num>[0-9]+)/(?P<den>2|4|8|16|32|64)|(?P<vulgar>[½¼¾⅛⅜⅝⅞]))?"
)


# Inches in a sentence of the house's tables: "1.5–2.5 in", "1 1/2 in", "3 to 5 in"; not where cm stand beside them.
_INCHES_SAID = re.compile(
    r"(?<![0-9/.])(?P<least>[0-9]+(?:\.[0-9]+| [0-9]+/[0-9]+|/[0-9]+)?)"
    r"(?:(?P<to>–| to | or )(?P<most>[0-9]+(?:\.[0-9]+| [0-9]+/[0-9]+|/[0-9]+)?))? in\b(?! / [0-9])"
)
_ROUGH_FROM_MM = 20
_TWO_UNITS = re.compile(
    "(?P<large>[0-9]{1,2}) ?(?:(?P<stones>st|stone)|ft|foot|feet|['\u2032\u2019])"
    '(?: ?(?P<small>[0-9]{1,2}) ?(?:lbs?|in|"|\u2033|\u201d)?)?'
)


@dataclass(frozen=True, slots=True)
class Length:
    """A length: `mm` is its size, `unit` how it was written (and is written back).

    At least zero, unless it is the difference of two (`signed_length`).
    """

    mm: float
    unit: LengthUnit = "mm"

    @property
    def value(self) -> float:
        """Its size in its own unit, to a thousandth of an inch or a tenth of a millimetre."""
        return round(self.mm / _size(self.unit), _PLACES[self.unit])

    @property
    def text(self) -> str:
        """As a tailor writes it: inches to the nearest eighth, centimetres to the millimetre."""
        if self.unit == "in":
            return f"{inches_text(self.mm)} in"
        if self.unit == "cm":
            return f"{self.mm / 10:.1f} cm"
        return f"{self.mm:.0f} mm"

    def written_in(self, unit: LengthUnit) -> Length:
        """The same length in another unit."""
        return Length(self.mm, unit)


@dataclass(frozen=True, slots=True)
class Mass:
    """A body mass: `kg` is its size, `unit` how it was written."""

    kg: float
    unit: MassUnit = "kg"

    @property
    def value(self) -> float:
        """Its size in its own unit, to a hundredth."""
        return round(self.kg / _size(self.unit), 2)

    @property
    def text(self) -> str:
        """As it is said: 78.4 kg, 172.8 lb, 12 st 4 lb."""
        if self.unit == "st":
            stones, pounds = divmod(round(self.kg / _size("lb")), 14)
            return f"{stones} st {pounds} lb"
        return f"{self.kg / _size(self.unit):.1f} {self.unit}"


class Span(NamedTuple):
    """From least to most, as the trade says it."""

    least: float
    most: float


def most_said(units: Iterable[LengthUnit | None]) -> LengthUnit | None:
    """The unit that is said most often, of equals the first; None where none is."""
    counts = Counter(unit for unit in units if unit is not None)
    return max(counts, key=counts.__getitem__, default=None)


def length(value: object, unit: object) -> Length:
    """Read a length: 36.5, "36 1/2", "36½", "36-1/2", with "in", "cm" or "mm". Refuses all else.

    Raises Refusal `unit_unknown`, `quantity_unreadable`, `quantity_negative` or `quantity_too_large`,
    pointing at `value` or `unit`.
    """
    if unit not in LENGTH_UNITS:
        raise Refusal("unit_unknown", ("unit",), allowed=LENGTH_UNITS)
    known: LengthUnit = unit
    return Length(_sized(value, LENGTH_MOST_MM, known), known)


def signed_length(value: object, unit: object) -> Length:
    """Read a difference of two lengths: as `length`, and with a minus before it. Refuses as `length`."""
    if isinstance(value, str) and value.strip(" ").startswith("-"):
        return _turned(length(value.strip(" ")[1:], unit))
    if isinstance(value, int | float) and not isinstance(value, bool) and value < 0:
        return _turned(length(-value, unit))
    return length(value, unit)


def mass(value: object, unit: object) -> Mass:
    """Read a body mass in "kg", "lb" or "st"; the same notation and refusals as `length`."""
    if unit not in MASS_UNITS:
        raise Refusal("unit_unknown", ("unit",), allowed=MASS_UNITS)
    known: MassUnit = unit
    return Mass(_sized(value, MASS_MOST_KG, known), known)


def said_in(words: str, unit: LengthUnit | None, *, rough: bool = True) -> str:
    """A sentence of the house's tables with its inches in `unit`: "keep 2 in or more" is "keep 5 cm or more".

    Such figures are rules of thumb, so from 2 cm on they are said to the nearest half centimetre, below to the
    millimetre; a size that is sold, which is not `rough`, to the millimetre. Nothing that was measured or marked is
    said so.
    """
    if unit is None or unit == "in":
        return words
    return _INCHES_SAID.sub(lambda found: f"{_thumb(found, unit, rough=rough)} {unit}", words)


def _thumb(found: re.Match[str], unit: LengthUnit, *, rough: bool) -> str:
    def said(figure: str) -> str:
        mm = float(sum(Fraction(part) for part in figure.split(" "))) * float(INCH_MM)
        mm = round(mm / 5) * 5 if rough and mm >= _ROUGH_FROM_MM else round(mm)
        return f"{mm / 10:g}" if unit == "cm" else str(mm)

    most = found["most"]
    return said(found["least"]) + (found["to"] + said(most) if most else "")


def inches(count: float) -> float:
    """`count` inches in millimetres."""
    # Exactly, so that a table's 3/8 in and a caller's "3/8" are the same length to the last bit.
    return float(Fraction(str(count)) * INCH_MM)


def inches_text(mm: float) -> str:
    """Inches to the nearest eighth without the unit: "38 1/4", "7/8", "40", "-1/2"."""
    # In whole numbers, exactly: an answer has dozens of these, and fractions as objects would be most of its cost. Of
    # Python's own float: numpy's takes 70 us for its ratio.
    top, bottom = float(abs(mm)).as_integer_ratio()
    inch = INCH_MM
    over = bottom * inch.numerator
    eighths = (16 * top * inch.denominator + over) // (2 * over)
    whole, part = divmod(eighths, 8)
    text = f"{whole} {_EIGHTHS[part]}" if whole and part else _EIGHTHS[part] or str(whole)
    return f"-{text}" if mm < 0 and eighths else text


@cache
def _factor(unit: str) -> Fraction:
    """How many millimetres, or kilograms, one of `unit` is; exact."""
    registry = _registry()
    target = "millimeter" if unit in LENGTH_UNITS else "kilogram"
    return Fraction(registry.Quantity(Fraction(1), _PINT_NAMES[unit]).to(target).magnitude)


@cache
def _size(unit: str) -> float:
    return float(_factor(unit))


@cache
def _registry() -> pint.UnitRegistry[Fraction]:
    # Here and not above: it brings numpy with it, and who names a key measures no body.
    import pint  # noqa: PLC0415

    return pint.UnitRegistry(_DEFINITIONS, non_int_type=Fraction)


def _turned(found: Length) -> Length:
    return Length(-found.mm if found.mm else 0.0, found.unit)


def _sized(value: object, most: int, unit: str) -> float:
    """The size in mm or kg. Raises Refusal `quantity_*`."""
    # What is no number has no hash, or one that says nothing of it.
    return (_read if type(value) in (str, int, float) else _read.__wrapped__)(value, most, unit)


# A tape is read to the eighth or the millimetre, so most of what is read was read before; as exact fractions, reading
# it was a fifth of a batch.
@lru_cache(maxsize=4096, typed=True)
def _read(value: object, most: int, unit: str) -> float:
    factor = _factor(unit)
    return float(_number(value, most / factor, unit) * factor)


def _number(value: object, most: Fraction, unit: str) -> Fraction:
    if isinstance(value, str):
        size = _read_notation(value)
    elif isinstance(value, bool) or not isinstance(value, int | float):
        raise Refusal("quantity_unreadable", ("value",), hint="a number, or text like '36 1/2'")
    elif isinstance(value, float) and not math.isfinite(value):
        raise Refusal("quantity_unreadable", ("value",), hint="a finite number")
    else:
        # repr gives the shortest decimal that the caller can have meant: 36.1 stays 361/10.
        size = Fraction(repr(value)) if isinstance(value, float) else Fraction(value)
    if size < 0:
        raise Refusal("quantity_negative", ("value",))
    if size > most:
        raise Refusal("quantity_too_large", ("value",), most=round(float(most), 1), unit=unit)
    return size


def _read_notation(text: str) -> Fraction:
    trimmed = text.strip(" ")
    if re.fullmatch(r"-[ 0-9./½¼¾⅛⅜⅝⅞-]+", trimmed):
        raise Refusal("quantity_negative", ("value",))
    match = _NOTATION.fullmatch(trimmed) if 0 < len(trimmed) <= TEXT_LONGEST else None
    if match is None:
        raise Refusal("quantity_unreadable", ("value",), hint=_hint(trimmed))
    if match["decimal"]:
        return Fraction(match["decimal"])
    if match["vulgar"]:
        num, den = _VULGAR[match["vulgar"]]
    else:
        num, den = int(match["num"] or 0), int(match["den"] or 1)
    if num >= den:
        raise Refusal("quantity_unreadable", ("value",), hint="a proper fraction, like 36 1/2")
    return int(match["whole"] or 0) + Fraction(num, den)


def _hint(text: str) -> str:
    """How a text that is no quantity is written: of two units, as heights and weights are said, in the smaller."""
    both = _TWO_UNITS.fullmatch(text) if len(text) <= TEXT_LONGEST else None
    if both is None:
        return "a decimal point, not a comma" if "," in text else "36, 36.5, 36 1/2 or 36½, the unit apart"
    large, small = int(both["large"]), int(both["small"] or 0)
    if both["stones"]:
        return f"{14 * large + small} with the unit lb: stones and pounds are two units"
    return f"{12 * large + small} with the unit in: feet and inches are two units"
