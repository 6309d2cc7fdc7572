"""How long a visitor of the shop's page waits: for the questions, and for the answer. A real browser, on this machine.

./tests/bench/run adviser           two lines, each with its yardstick from the same run
python -m tests.bench.adviser DIR   screenshots beside that: four widths, four languages
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from pathlib import Path
from typing import Any

from tests.bench import line
from tests.chromium import running_browser
from tests.databases import migrated
from tests.demo.adviser_page import LANGUAGES, answer, served_page, take_button, visiting
from tests.demo.charts import everyday
from tests.serving import serving
from tests.shops import new_house, new_shop

TIMES = 15
WIDTHS = (1200, 768, 390, 320)
# The page with its adviser put out: the same shop, words and sheet, and no question.
BARE = "**/size-adviser.js"
# From the start of the navigation until the questions, or without them the page, are painted.
PAINTED = """() => new Promise((done) => {
  const look = () => document.querySelector("size-adviser").shadowRoot?.querySelector("form")
    ? requestAnimationFrame(() => setTimeout(() => done(performance.now()))) : setTimeout(look, 1);
  look();
})"""
BARE_PAINTED = "() => new Promise((done) => requestAnimationFrame(() => setTimeout(() => done(performance.now()))))"
# From the tap until the answer is painted; and one bare request of the same advice.
ANSWERED = """() => new Promise((done) => {
  const root = document.querySelector("size-adviser").shadowRoot;
  const began = performance.now();
  root.querySelector("form").requestSubmit();
  const look = () => root.querySelector(".answer h3")
    ? requestAnimationFrame(() => setTimeout(() => done(performance.now() - began))) : setTimeout(look, 1);
  look();
})"""
ASKED = """async ([api, key]) => {
  const began = performance.now();
  const said = [["stature", 178, "cm"], ["body_mass", 76, "kg"]];
  const readings = said.map(([dimension, value, unit]) => ({ dimension, value, unit, source: "self_reported" }));
  const body = JSON.stringify({ readings, charts: ["everyday"], limit: 6 });
  const headers = { Authorization: `Bearer ${key}`, "Content-Type": "application/json" };
  await (await fetch(`${api}/v1/size-advice`, { method: "POST", headers, body })).json();
  return performance.now() - began;
}"""


def main() -> None:
    with tempfile.TemporaryDirectory() as folder, running_browser() as browser:
        house = new_house(migrated(f"sqlite:///{folder}/bench.sqlite3"))
        shop = new_shop(house)
        shop.staff.ask("PUT", "/v1/charts/everyday", everyday())
        with serving(house.contract.app) as api, served_page(api, house.context, shop.id) as site:
            found = [_once(browser, site) for _ in range(TIMES)]
            painted, bare, answered, asked = (statistics.median(each) for each in zip(*found, strict=True))
            line("the questions are painted", painted, bare, "ms", "the shop's page without the adviser")
            line("the answer is painted, with day and row", answered, asked, "ms", "one bare request of that advice")
            if len(sys.argv) > 1:
                _pictures(browser, site, Path(sys.argv[1]))
        house.context.database.close()


def _once(browser: Any, site: Any) -> tuple[float, float, float, float]:
    page = browser.new_page()
    page.route(BARE, lambda route: route.abort())
    page.goto(site.origin, wait_until="commit")
    bare = page.evaluate(BARE_PAINTED)
    page.close()
    page = browser.new_page()
    page.goto(site.origin, wait_until="commit")
    page.wait_for_selector("size-adviser", state="attached")
    painted = page.evaluate(PAINTED)
    asked = page.evaluate(ASKED, [site.api, site.key])
    page.locator("[name=path][value=body]").check()
    page.locator("#height").fill("178")
    page.locator("#weight").fill("76")
    answered = page.evaluate(ANSWERED)
    page.close()
    return painted, bare, answered, asked


def _pictures(browser: Any, site: Any, folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    states: dict[str, tuple[str, dict[str, str]]] = {
        "guess": ("body", {"height": "178", "weight": "76 kg", "age": "35"}),
        "taped": ("tape", {"chest_girth": "100 cm", "trouser_waist_girth": "86 cm", "height": "178"}),
        "none": ("tape", {"chest_girth": "132 cm", "trouser_waist_girth": "97 cm", "height": "178"}),
        "asked": ("body", {"height": "5.5", "weight": "168 kg"}),
    }
    for language in LANGUAGES:
        for width in WIDTHS:
            with visiting(browser, site, {"width": width, "height": 844}, language) as page:
                for name, (path, fields) in states.items():
                    answer(page, path, **fields)
                    _picture(page, folder / f"{language}-{width}-{name}.png")
                    if name == "guess" and take_button(page).count():
                        take_button(page).click()
                        page.get_by_role("button", name="Keep my answers").click()
                        page.wait_for_selector(".code")
                        _picture(page, folder / f"{language}-{width}-taken.png")
                    if page.locator(".said button").count():
                        page.locator(".said button").click()


def _picture(page: Any, path: Path) -> None:
    """Of what is there when it has come to rest."""
    page.screenshot(path=path, full_page=True, animations="disabled")


if __name__ == "__main__":
    main()
