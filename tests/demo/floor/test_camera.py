"""A ticket before the camera: its bars, as they are printed, on paper that is held a little askew."""

import numpy as np
import pytest
from playwright.sync_api import expect

from service.papers.rendering.codes import code_128
from tests.chromium import running_browser
from tests.demo.floor.fittings import placed_by_a_till
from tests.demo.floor.floors import Tablet

WIDE, HIGH = 640, 480
PAPER, INK, CELL_PIXELS = 215, 45, 3


def filmed(number):
    """One grey picture: the bars on a slant, out of focus, with the grain of a cheap camera, a shadow on one side."""
    bars = np.repeat(np.array(code_128(number)), CELL_PIXELS)
    picture = np.full((HIGH, WIDE), float(PAPER))
    for row in range(120, 360):
        begin = 180 + row // 9
        picture[row, begin : begin + len(bars)] = np.where(bars, INK, PAPER)
    picture = (np.roll(picture, 1, axis=1) + 2 * picture + np.roll(picture, -1, axis=1)) / 4
    shadow = np.linspace(1.0, 0.6, WIDE)
    return (picture * shadow + np.random.default_rng(7).normal(0, 3, picture.shape)).clip(0, 255).astype(np.uint8)


def film(path, picture):
    """A film of one picture that never changes, as YUV4MPEG2: brightness, and no colour."""
    colour = bytes([128]) * (WIDE * HIGH // 2)
    frame = b"FRAME\n" + picture.tobytes() + colour
    path.write_bytes(f"YUV4MPEG2 W{WIDE} H{HIGH} F10:1 Ip A1:1 C420jpeg\n".encode() + 3 * frame)


@pytest.fixture(scope="module")
def filmed_order(site):
    return placed_by_a_till(site, "before-the-camera")


@pytest.fixture(scope="module")
def browser(filmed_order, tmp_path_factory):
    """A browser whose camera sees the ticket."""
    path = tmp_path_factory.mktemp("camera") / "ticket.y4m"
    film(path, filmed(filmed_order["number"]))
    camera = ("--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream")
    with running_browser(*camera, f"--use-file-for-fake-video-capture={path}") as browser:
        yield browser


@pytest.mark.parametrize("room", ["Workroom", "Counter"])
def test_a_ticket_before_the_camera_opens_its_order(browser, site, filmed_order, room):
    tablet = Tablet(browser, site.address)
    tablet.sign_in("fitter-1")
    tablet.tap(tablet.page.get_by_role("link", name=room))
    tablet.tap("Camera")
    expect(tablet.page.locator(".order-sheet .number")).to_have_text(filmed_order["number"])
    expect(tablet.page.get_by_role("dialog")).to_have_count(0)
    assert [] == tablet.complaints
    tablet.close()


READ = """async line => (await import('/page/code-128.js')).readCode128(line)"""


@pytest.mark.parametrize("said", ["1001", "1001/2", "YG42-EV62", "7"])
@pytest.mark.parametrize("turned", [1, -1])
def test_bars_are_read_from_either_end(browser, site, said, turned):
    tablet = Tablet(browser, site.address)
    edge = [PAPER] * 40
    line = [*edge, *(INK if bar else PAPER for bar in code_128(said) for _ in range(CELL_PIXELS)), *edge]
    assert said == tablet.page.evaluate(READ, line[::turned])
    # One bar that ink has run into makes it none: it is not taken for another.
    at = 40 + 14 * CELL_PIXELS
    soiled = [*line[:at], *[INK] * (4 * CELL_PIXELS), *line[at + 4 * CELL_PIXELS :]]
    assert tablet.page.evaluate(READ, soiled[::turned]) is None
    tablet.close()
