"""A real browser for tests of what is looked at: Debian's Chromium, driven by playwright.

    with running_browser() as browser:
        page = browser.new_page()

`tests/run` installs it where it is missing. FITTING_TEST_CHROMIUM names another one.
"""

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager

from playwright.sync_api import BrowserContext, expect, sync_playwright

from tests.given import GIVEN

MISSING = "no Chromium for the tests: as root, apt-get install chromium; or name one in FITTING_TEST_CHROMIUM"
# For one step of a page, a tap or a look: far beyond what a busy machine needs; who never gets there says so soon.
STEP_SECONDS = 60
# It asks nobody outside, and runs as root in a bare machine.
QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@contextmanager
def running_browser(*more: str) -> Iterator[BrowserContext]:
    """Give a browser without a window, with an empty profile, started with `more`. Fails where there is none."""
    program = GIVEN.get("CHROMIUM") or shutil.which("chromium")
    if program is None:
        raise RuntimeError(MISSING)
    with tempfile.TemporaryDirectory(prefix="browser-") as profile, sync_playwright() as playwright:
        browser = playwright.chromium.launch_persistent_context(
            profile, executable_path=program, headless=True, args=[*QUIET, *more]
        )
        # On a busy machine a page takes longer than a browser thinks right.
        browser.set_default_timeout(STEP_SECONDS * 1000)
        expect.set_options(timeout=STEP_SECONDS * 1000)
        yield browser
        browser.close()
