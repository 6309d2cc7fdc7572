"""How a paper writes lengths, days and money: the same in every format and under every locale."""

from __future__ import annotations

import math
import re
from datetime import date
from fractions import Fraction

from service.tailoring.garments.alterations import Direction
from service.tailoring.quantities import Length, LengthUnit, inches_text
from service.tailoring.work.prices import Money

_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_DAY = re.compile(rf"(?:{'|'.join(_WEEKDAYS)}) ([0-9]{{1,2}}) ({'|'.join(_MONTHS)}) ([0-9]{{4}})")
_SIGNS: dict[Direction, str] = {"decrease": "−", "increase": "+"}

# Half the smallest division of a metric tape: what is rounded by more would be sewn wrong.
ROUNDED_OVER_MM = 0.5
ROUNDED_WORDS = "~ inches are rounded: mm and cm count"

# Digits of the minor unit where they are not 2 (ISO 4217, list one of its maintenance agency).
_DIGITS = {
    **dict.fromkeys(
        ("BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI", "VND", "VUV"), 0
    ),
    **dict.fromkeys(("XAF", "XOF", "XPF"), 0),
    **dict.fromkeys(("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"), 3),
    **dict.fromkeys(("CLF", "UYW"), 4),
}


def money_text(money: Money) -> str:
    """With its code, because a sign may be any of several dollars: "EUR 18.00", "JPY 1800", "KWD 1.800"."""
    digits = minor_digits(money.currency)
    sign = "−" if money.minor < 0 else ""
    whole, part = divmod(abs(money.minor), 10**digits)
    return f"{money.currency} {sign}{whole}" + (f".{part:0{digits}}" if digits else "")


def minor_digits(currency: str) -> int:
    """How many digits the minor unit of a currency has."""
    return _DIGITS.get(currency, 2)


def day_text(day: date) -> str:
    """In words, because 5/3 is two days, and with its weekday, which catches a slip: "Thursday 5 March 2026"."""
    return f"{_WEEKDAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]} {day.year}"


def day_of(text: str) -> date | None:
    """The day that `day_text` wrote so; None of other words."""
    found = _DAY.fullmatch(text)
    return date(int(found[3]), _MONTHS.index(found[2]) + 1, int(found[1])) if found else None


def length_text(length: Length) -> str:
    """Both ways, as it was said first, inches to the nearest eighth: "30 3/8 in / 772 mm", "4 cm / ~1 5/8 in".

    "~" where the inches are rounded.
    """
    if length.mm > 0 and _eighths(length) == 0:
        return f"under 1/8 in / {length.mm:.1f} mm"
    return _both(f"{_about(length)}{inches_text(length.mm)} in", length.unit, length.mm)


def change_text(length: Length, direction: Direction, shares: int = 1) -> str:
    """A change with its sign, or one of its equal shares: "−3/4 in / −19 mm", "−3/8 in / −9.5 mm".

    The shares are those of the inches as printed, so that they add up on the paper.
    """
    sign, mm = _SIGNS[direction], length.mm / shares
    eighths = _eighths(length)
    if eighths == 0:
        return f"{sign}under 1/8 in / {sign}{mm:.1f} mm"
    in_inches = f"{_about(length)}{sign}{_mixed(Fraction(eighths, 8 * shares))} in"
    return _both(in_inches, length.unit, mm, sign, digits=0 if shares == 1 else 1)


def seam_texts(length: Length, seams: int) -> tuple[str, ...]:
    """How far each new seam is sewn from the old one, so that a girth changes by `length` at so many seams.

    A seam takes twice that, an edge of cloth on either side. Nobody sews finer than 1/16 in, or a millimetre: each seam
    has the nearest, and where they are not all alike the last of the texts is what is left for the last seam.
    """
    eighths = _eighths(length)
    # Of an eighth in all, one edge of one seam has a sixteenth.
    each = math.floor(Fraction(eighths, seams) + Fraction(1, 2))
    found = (each, eighths - (seams - 1) * each)
    if found[-1] == 0:
        return (f"{length.mm / (2 * seams):.1f} mm",)
    if length.unit == "in":
        texts = [f"{_about(length)}{_mixed(Fraction(count, 16))} in / {count * 25.4 / 16:.1f} mm" for count in found]
    else:
        half_mm = Fraction(length.mm).limit_denominator(100) / 2
        each_mm = math.floor(half_mm / seams + Fraction(1, 2)) or half_mm / seams
        texts = [f"{float(mm):.1f} mm".replace(".0 ", " ") for mm in (each_mm, half_mm - (seams - 1) * each_mm)]
    return tuple(dict.fromkeys(texts))


def _both(in_inches: str, unit: LengthUnit, mm: float, sign: str = "", digits: int = 0) -> str:
    if unit == "cm":
        return f"{sign}{_cm(mm, digits + 1)} / {in_inches}"
    in_mm = f"{sign}{mm:.{digits}f} mm"
    return f"{in_mm} / {in_inches}" if unit == "mm" else f"{in_inches} / {in_mm}"


def _cm(mm: float, digits: int = 1) -> str:
    """As a bench writes it: 4 cm, and not 4.0."""
    text = f"{mm / 10:.{digits}f}"
    return f"{text.rstrip('0').rstrip('.')} cm"


def _eighths(length: Length) -> int:
    """Rounded half up, as `inches_text` does."""
    return math.floor(Fraction(length.mm) / Fraction("3.175") + Fraction(1, 2))


def is_rounded(length: Length) -> bool:
    """Whether its inches, as they are printed, are further off than a tape shows."""
    return _eighths(length) > 0 and abs(_eighths(length) * 3.175 - length.mm) > ROUNDED_OVER_MM


def _about(length: Length) -> str:
    return "~" if is_rounded(length) else ""


def _mixed(count: Fraction) -> str:
    whole, part = divmod(count, 1)
    return " ".join(str(text) for text in (whole, part) if text)
