"""An order on the bench, tap by tap, until it can be handed over."""

from playwright.sync_api import expect


def scan(tablet, number):
    tablet.scan(number)
    expect(tablet.page.locator(".order-sheet .number")).to_have_text(number)


def state_of(tablet, piece, words):
    expect(tablet.page.locator(f"section[aria-label='Piece {piece}'] .state")).to_have_text(words)


def move(tablet, piece, to, words):
    tablet.tap(f"@move {piece} {to}")
    state_of(tablet, piece, words)


def sew(tablet, number):
    """Both pieces are taken in and begun; the cuff is asked about."""
    scan(tablet, number)
    for piece in (1, 2):
        move(tablet, piece, "accepted", "accepted")
        move(tablet, piece, "in_workroom", "on the bench")
    tablet.tap("@begin line 1")
    expect(tablet.find("@pause 1")).to_be_visible()
    tablet.tap("@pause 1", "@begin line 1", "@end 1")
    expect(tablet.page.locator(".work-lines")).to_contain_text(["sewn by tailor-1", ""])
    tablet.tap("@move 1 query")
    tablet.page.keyboard.type("Left cuff: close to the holes. Go on?")
    tablet.tap("@do it")
    state_of(tablet, 1, "asked")


def answer(tablet, number):
    tablet.tap(tablet.page.get_by_role("link", name="Counter"))
    tablet.tap(f"@The workroom asks {number}")
    tablet.sees("Left cuff: close to the holes. Go on?")
    tablet.tap("@move 1 in_workroom")
    tablet.page.keyboard.type("Asked: go on.")
    tablet.tap("@do it")
    state_of(tablet, 1, "on the bench")


def measured(tablet, line, *keys):
    tablet.tap(f"@measure {line}", *keys, "@next")
    expect(tablet.find(f"@measure {line}")).to_have_count(0)


def check_and_press(tablet, number, pins):
    """Another than who sewed measures; then pins are counted out at the press, and once more when it is ready."""
    scan(tablet, number)
    order = tablet.page.locator(".order-sheet")
    for line, keys in (
        (1, ("3", "6", "4 eighths")),
        (2, ("2", "4", "4 eighths")),
        (3, ("3", "1", "4 eighths")),
        (4, ("3", "1", "2 eighths")),
    ):
        measured(tablet, line, *keys)
    expect(order).to_contain_text("right: 31 1/2 in, by tailor-2")
    for piece, there in pins:
        for to, words in (("pressed", "pressed"), ("ready", "ready")):
            tablet.tap(f"@move {piece} {to}", *["@pins out more"] * there, "@do it")
            state_of(tablet, piece, words)
