"""Writes the golden papers anew, after a change to what a paper says: `python -m tests.papers.write_golden`.

Look at the difference, and at the pages themselves, before it is kept.
"""

from tests.papers.agreed import ABROAD, FIXED, GOLDEN, KINDS, LIVED, SAID_BESIDE, text_of
from tests.papers.fixed_orders import a_party
from tests.papers.looking import PDF, TEXT, sheet_as, slip_as, ticket_as
from tests.papers.orders import an_order, dinner


def main():
    for media, ending in KINDS.items():
        for name, order in FIXED.items():
            (GOLDEN / f"{name}.{ending}").write_bytes(ticket_as(media, order()))
        (GOLDEN / f"slip.{ending}").write_bytes(slip_as(media, dinner()))
    for name, order in LIVED.items():
        more = SAID_BESIDE.get(name, {})
        (GOLDEN / f"{name}.txt").write_bytes(ticket_as(TEXT, order(), **more))
        (GOLDEN / f"{name}.pdf.txt").write_text("\f".join(text_of(ticket_as(PDF, order(), **more))) + "\n", "utf-8")
    for language in ABROAD:
        (GOLDEN / f"suit.{language}.txt").write_bytes(ticket_as(TEXT, an_order(), language=language))
        pages = text_of(ticket_as(PDF, an_order(), language=language))
        (GOLDEN / f"suit.{language}.pdf.txt").write_text("\f".join(pages) + "\n", "utf-8")
    party = a_party()
    (GOLDEN / "party.txt").write_bytes(sheet_as(TEXT, party))
    pdfs = {"party": sheet_as(PDF, party)}
    pdfs |= {name: ticket_as(PDF, order()) for name, order in FIXED.items()} | {"slip": slip_as(PDF, dinner())}
    for name, pdf in pdfs.items():
        (GOLDEN / f"{name}.pdf.txt").write_text("\f".join(text_of(pdf)) + "\n", "utf-8")


if __name__ == "__main__":
    main()
