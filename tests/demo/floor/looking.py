"""A screen as it is looked at: by axe, by its size, by a thumb; and by whoever wants its picture."""

import os
from pathlib import Path

from axe_playwright_python.sync_playwright import Axe

from tests.demo.floor.floors import DESK, LANDSCAPE, PORTRAIT

SIZES = {"landscape": LANDSCAPE, "portrait": PORTRAIT, "desk": DESK}
# A folder where whoever wants to look at the screens finds them.
PICTURES = os.environ.get("FLOOR_PICTURES")
# WCAG 2.2, 2.5.8 asks for 24 px; a thumb in a fitting room for twice as much.
TARGET_PX = 44


def seen(tablet, name):
    """The screen as it is now, at each size: nothing for axe to complain of, cut off, or too small to hit."""
    before = tablet.page.viewport_size
    for size, pixels in SIZES.items():
        tablet.page.set_viewport_size(pixels)
        _seen_at(tablet.page, name, size)
    tablet.page.set_viewport_size(before)


def _seen_at(page, name, size):
    if PICTURES:
        page.screenshot(path=Path(PICTURES) / f"{name}-{size}.png", full_page=True)
    found = Axe().run(page).response["violations"]
    assert [] == [(each["id"], [node["html"][:160] for node in each["nodes"]][:3]) for each in found], (name, size)
    assert 0 == page.evaluate("Math.max(0, document.documentElement.scrollWidth - innerWidth)"), (name, size)
    small = page.evaluate(
        """most => [...document.querySelectorAll('button, a, input, select, summary')]
        .map(it => [it.textContent.trim() || it.dataset.at, it.getBoundingClientRect()])
        .filter(([, at]) => at.width && Math.min(at.width, at.height) < most)
        .map(([words, at]) => [words, at.width, at.height])""",
        TARGET_PX,
    )
    assert [] == small, (name, size)
