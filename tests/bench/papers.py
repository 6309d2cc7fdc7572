"""The ticket of the largest legal order in letters that become many, as PDF, against one of two pieces."""

from __future__ import annotations

from datetime import UTC

from service.papers.papers import TICKETS
from service.tailoring.garments.pieces import GarmentPiece
from tests.bench import line, seconds_each
from tests.papers.orders import an_order, asked

PDF = "application/pdf"
SIGNS = {"pictures": "\U0001faf0", "syllables of six letters": "\u5e84", "Latin letters": "W"}


def main() -> None:
    usual = seconds_each(lambda: TICKETS[PDF](an_order(), "Bench", UTC, None), 1)
    for name, sign in SIGNS.items():
        words = sign * 200
        pieces = [
            GarmentPiece(
                at, "jacket", "c", words[:20], words[:80], style=words[:80], must_keep=words, faults_seen=words
            )
            for at in range(1, 11)
        ]
        work = [
            asked(piece.piece, code, "1/2", "length", "24 1/2", side, note=words)
            for piece in pieces
            for code in ("jacket_sleeve_shorten_at_cuff", "jacket_sleeve_shorten_at_shoulder")
            for side in ("left", "right")
        ]
        order = an_order(work, pieces)
        took = seconds_each(lambda order=order: TICKETS[PDF](order, "Bench", UTC, None), 1, rounds=3)  # type: ignore[misc]  # bound now
        line(f"the largest ticket, {name}", took, usual, "s CPU", "a suit's")


if __name__ == "__main__":
    main()
