"""What a customer reads: the example that once read wrong, each thing said once, and the day of the cloth sold."""

import re

from tests.demo.adviser_page import PHONE, answer, choose_path, everything, fill, find, heading, visiting

# A customer of 178 cm and 76 kg who reads 50 in both of their garments: continental, as men there are.
TALL = {"height": "178", "weight": "76"}
FIFTY = {"label_jacket": "50", "label_trousers": "50"}


def fifty(page):
    choose_path(page, "body")
    fill(page, **TALL)
    choose_path(page, "size")
    fill(page, **FIFTY)
    find(page)


def test_a_fifty_of_178_cm_and_76_kg_is_a_forty_regular_and_nobody_calls_them_portly(browser, site):
    with visiting(browser, site, PHONE) as page:
        fifty(page)
        assert re.match(r"Jacket 40 regular[,;] .*\. Trousers 3[56][,;] .*\.", heading(page))
        assert "portly" not in everything(page)
        assert "95" not in heading(page)
        assert [] == page.complaints


def test_who_may_have_meant_pounds_is_asked_and_advised_no_cut_meanwhile(browser, site):
    with visiting(browser, site, PHONE) as page:
        answer(page, height="178", weight="230 kg", age="75")
        assert heading(page) == "From this alone we cannot choose a size"
        assert page.get_by_role("button", name="Yes, 16 st 6 lb").is_visible()
        assert "would serve you better" not in everything(page)


def test_no_reason_is_given_twice(browser, site):
    """Where both garments are a guess, why they are is said once."""
    with visiting(browser, site, PHONE) as page:
        answer(page, "body", **TALL, age="65")
        assert everything(page).count("differ too much to say more") <= 1


def test_what_a_size_by_hand_would_mean_names_each_fault_once_with_all_its_places(browser, site):
    with visiting(browser, site, PHONE) as page:
        answer(page)
        page.locator("#other-jacket").select_option("34R")
        page.get_by_text("Jacket 34 regular would be").wait_for()
        (said,) = re.findall(r"Jacket 34 regular would be ([^.]+)\.", everything(page))
        assert said.startswith("tight ")
        assert 1 == said.count("tight")
        assert " and " in said


def test_the_day_is_of_the_cloth_that_is_sold(browser, site):
    """A check is matched at every seam: the page says what its article is, and the quote counts it."""
    asked = []
    with visiting(browser, site, PHONE) as page:
        page.on("request", lambda it: asked.append(it.post_data_json) if "alteration-quotes" in it.url else None)
        page.evaluate(
            """() => Object.entries({ pattern: "check", cloth: "wool", lining: "half" }).forEach(
              ([name, its]) => document.querySelector("size-adviser").setAttribute(name, its))"""
        )
        answer(page)
        assert re.search("Ready by ", everything(page))
    said = {"pattern": "check", "cloth": "wool", "lining": "half"}
    assert asked
    assert all(said.items() <= garment.items() for each in asked for garment in each["garments"])


def test_sizes_beside_ours_are_said_by_their_number(browser, site):
    """They are of one length with ours, which is said."""
    with visiting(browser, site, PHONE) as page:
        answer(page, "tape", chest_girth="106 cm", trouser_waist_girth="90 cm", height="178")
        assert not re.search(r"(between|or) \d+[SRL]\b", heading(page))
