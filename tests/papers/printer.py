"""A receipt printer without paper: reads the bytes as a printer would, and refuses what it does not know.

The orders are those of the table in `service/papers/rendering/receipt.py`, written down a second time.
"""

from dataclasses import dataclass, field

from PIL import Image

DOTS = 384
COLUMNS = 42
# Orders of one byte more than their name, and of none.
OF_A_NUMBER = (b"\x1bt", b"\x1bM", b"\x1ba", b"\x1bd", b"\x1bE", b"\x1dV")
ALONE = (b"\x1b@",)


@dataclass
class Printed:
    """What came out: rows of text with whether each was bold, pictures, and how often it was cut."""

    rows: list = field(default_factory=list)
    pictures: list = field(default_factory=list)
    cuts: int = 0


def printed_by(sent):
    """Print bytes; ValueError for an order that the printer does not know or what is too wide for its paper."""
    out, row, bold, at = Printed(), b"", False, 0
    while at < len(sent):
        order = sent[at : at + 2]
        if order[:1] == b"\n":
            out.rows.append((_row(row), bold))
            row, at = b"", at + 1
        elif order in OF_A_NUMBER:
            bold = sent[at + 2] == 1 if order == b"\x1bE" else bold
            out.cuts += order == b"\x1dV"
            at += 3
        elif order == b"\x1dv":
            picture, at = _picture(sent, at)
            out.pictures.append(picture)
        elif order in ALONE:
            at += 2
        elif order[:1] >= b" ":
            row, at = row + order[:1], at + 1
        else:
            raise ValueError(f"no such order: {sent[at : at + 4]!r}")
    return out


def _row(row):
    if len(row) > COLUMNS:
        raise ValueError(f"too wide: {row!r}")
    return row.decode("cp1252")


def _picture(sent, at):
    """A picture, a dot that is set being ink; and where the next order begins."""
    width, height = sent[at + 4] + 256 * sent[at + 5], sent[at + 6] + 256 * sent[at + 7]
    if sent[at + 2 : at + 4] != b"0\x00" or width * 8 > DOTS:
        raise ValueError("no picture that fits the paper")
    end = at + 8 + width * height
    dots = bytes(255 - each for each in sent[at + 8 : end])
    return Image.frombytes("1", (width * 8, height), dots), end
