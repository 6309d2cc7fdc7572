"""The invented shop's page in a real browser: the size adviser asks the service from an origin of its own."""

import re

import pytest
from playwright.sync_api import expect

from service.app import create_app
from service.settings import Settings
from tests.demo.adviser_page import (
    ASKED,
    SAID,
    answer,
    choose_path,
    everything,
    fill,
    find,
    heading,
    measure,
    next_question,
    served_page,
    settled,
    take_button,
    visiting,
)
from tests.serving import serving

WORN = {"label_jacket": "50", "label_trousers": "50", "height": "178"}
HEARD = "window.heard = []; document.addEventListener('size-chosen', ({detail}) => window.heard.push(detail))"


def advise(shop, **more):
    return shop.staff.post("/v1/size-advice?units=in", {**ASKED, **more}).body


def taped(chest, waist=None):
    found = [{"dimension": "chest_girth", "value": chest, "unit": "cm", "source": "self_measured"}]
    if waist:
        found.append({"dimension": "trouser_waist_girth", "value": waist, "unit": "cm", "source": "self_measured"})
    return found


# ---------------------------------------------------------------- the opening


def test_height_weight_and_a_decade_are_enough_for_the_services_plan_with_its_work_price_and_day(
    browser, site, outfitters
):
    best = advise(outfitters)["plans"][0]
    assert ("40R", "35") == (best["jacket"]["label"], best["trousers"]["label"])
    with visiting(browser, site) as page:
        answer(page)
        assert re.match(r"Jacket 40 regular, a first guess\. Trousers 35; between 34 and 36\.", heading(page))
        work = page.get_by_role("heading", name="What we would alter").locator("..")
        assert len(best["alterations"]) == work.get_by_role("listitem").count()
        assert f"€{best['alterations'][-1]['price']['minor'] / 100:.2f}" in work.inner_text()
        expect(work).to_contain_text("Ready by ")
        assert [] == page.complaints


def test_the_day_is_that_of_a_quote(browser, site, outfitters):
    asked = {"garments": [{"garment": "trousers", "chart": "everyday", "label": "35"}], "to_be_pinned": True}
    earliest = outfitters.staff.post("/v1/alteration-quotes", asked).body["earliest"]
    with visiting(browser, site) as page:
        answer(page)
        page.get_by_role("radio", name="the trousers").check()
        settled(page)
        said = page.evaluate(
            "day => new Intl.DateTimeFormat('en-GB', {weekday: 'long', day: 'numeric', month: 'long', timeZone: 'UTC'})"
            ".format(new Date(day))",
            earliest,
        )
        assert f"Ready by {said} if you come in today." in everything(page)


def test_a_tape_reading_alone_gives_an_answer_and_what_is_added_later_counts_too(browser, site, outfitters):
    alone = advise(outfitters, readings=taped(100, 88), age_years=40)["plans"][0]
    both = advise(outfitters, readings=[SAID[0], *taped(100, 88)])["plans"][0]
    with visiting(browser, site) as page:
        answer(page, "tape", chest_girth="100 cm", trouser_waist_girth="88cm")
        assert alone["trousers"]["label"] in heading(page)
        page.get_by_role("button", name="Change or add").click()
        assert "100 cm" == page.locator("#chest_girth").input_value()
        answer(page, "body", height="1.78")
        assert "You told us: 178 cm tall · chest 100 cm · trouser waist 88 cm" in everything(page)
        assert both["jacket"]["label"][:2] in heading(page)
        assert both["trousers"]["label"] in heading(page)


@pytest.mark.parametrize(
    ("field", "typed", "read"),
    [
        ("height", "1.78", "178 cm"), ("height", "1,78", "178 cm"), ("height", "1m78", "178 cm"),
        ("height", "178", "178 cm"), ("height", "5'10", "5 ft 10 in"), ("height", "5’10½”", "5 ft 10½ in"),
        ("height", "5 ft 10", "5 ft 10 in"), ("height", "70 in", "5 ft 10 in"),
        ("weight", "76", "76 kg"), ("weight", "11st 6", "11 st 6 lb"), ("weight", "168 lb", "12 st 0 lb"),
        ("weight", "12 stone", "12 st 0 lb"),
    ],
)  # fmt: skip
def test_heights_and_weights_are_read_as_they_are_typed(browser, site, field, typed, read):
    with visiting(browser, site) as page:
        answer(page, **{field: typed})
        assert read in page.locator("size-adviser .said").inner_text()


@pytest.mark.parametrize(
    ("field", "typed", "offered"),
    [
        ("height", "70", ["Yes, 5 ft 10 in"]), ("height", "5.10", ["Yes, 5 ft 10 in"]),
        ("height", "5.5", ["Yes, 5 ft 5 in", "Yes, 5 ft 6 in"]),
        ("weight", "11", ["Yes, 11 st 0 lb"]), ("weight", "168", ["Yes, 168 kg", "Yes, 12 st 0 lb"]),
    ],
)  # fmt: skip
def test_what_may_be_meant_in_two_ways_is_asked_and_answered_by_one_tap(browser, site, field, typed, offered):
    with visiting(browser, site) as page:
        before = len(page.asked)
        answer(page, **{field: typed})
        buttons = page.locator(f"#ask-{field} button")
        assert offered == buttons.all_inner_texts()
        assert before == len(page.asked)
        buttons.last.click()
        settled(page)
        assert offered[-1].removeprefix("Yes, ") in page.locator("size-adviser .said").inner_text()


def test_the_unit_that_the_service_takes_to_be_meant_is_one_tap_away(browser, site, outfitters):
    meant = advise(outfitters, readings=[*SAID, taped(40)[0] | {"unit": "in"}])["plans"][0]
    with visiting(browser, site) as page:
        answer(page)
        measure(page, "40 cm")
        expect(page.get_by_text("Did you mean 40 in?")).to_be_visible()
        page.get_by_role("button", name="Yes, 40 in").click()
        settled(page)
        assert "chest 40 in" in everything(page)
        assert meant["jacket"]["label"][:2] in heading(page)
        assert 0 == page.get_by_text("Did you mean").count()


def test_whose_sizes_they_are_is_offered_by_name_and_drawn_from_the_services_systems(browser, site, outfitters):
    known = {each["system"] for each in outfitters.staff.get("/v1/designations").body["systems"]}
    assert {"inch_jacket", "german", "en_letter", "en_chest_waist", "jis_l_4004", "gb_t_1335_1"} <= known
    with visiting(browser, site) as page:
        choose_path(page, "size")
        expect(page.locator("#whose option")).to_have_text(
            [
                "I am not sure", "Your own", "UK or US", "Continental", "Letters", "Chest and waist in cm", "Japanese",
                "Chinese",
            ]
        )  # fmt: skip
        fill(page, whose="letter")
        assert "such as M" == page.locator("#hint-label_jacket").inner_text()
        assert "" == page.locator("#hint-label_trousers").inner_text()


def test_a_fifty_that_may_be_two_things_is_asked_about_and_continental_is_one_tap(browser, site):
    with visiting(browser, site) as page:
        answer(page, "size", **WORN)
        expect(page.get_by_text("50 on your jacket: which sizes is that?")).to_be_visible()
        assert 0 == take_button(page).count()
        page.get_by_role("button", name="Continental").first.click()
        settled(page)
        page.get_by_role("button", name="Continental").click()
        settled(page)
        assert heading(page).startswith("Jacket 40 regular")
        assert 0 == page.get_by_text("which sizes is that?").count()


def test_a_man_of_76_kg_who_says_50_in_inches_gets_no_suit_that_cannot_fit(browser, site):
    with visiting(browser, site) as page:
        choose_path(page, "body")
        fill(page, height="178", weight="76")
        answer(page, "size", whose="inch", label_jacket="50", label_trousers="50")
        assert heading(page).startswith("No size here will serve you")
        assert "Come and be measured" in everything(page)
        assert 0 == take_button(page).count()
        assert "of 100" not in everything(page)


def test_a_label_of_ours_counts_however_it_is_spaced_and_another_is_refused_beside_its_field(browser, site, outfitters):
    worn = {"garment": "jacket", "chart": "everyday", "label": "38:R", "how": "says"}
    told = advise(outfitters, readings=SAID[:1], age_years=40, wears=[worn])["plans"][0]
    with visiting(browser, site) as page:
        answer(page, "size", whose="own", label_jacket="39Z", height="178")
        expect(page.locator("#label_jacket")).to_be_focused()
        expect(page.locator("#wrong-label_jacket")).to_contain_text("We have no such size. Ours are")
        fill(page, label_jacket=" 38:r ")
        find(page)
        assert told["jacket"]["label"].split(":")[0][:2] in heading(page)


def test_a_label_that_no_system_reads_is_said_beside_its_field(browser, site):
    with visiting(browser, site) as page:
        answer(page, "size", label_jacket="grand", height="178")
        expect(page.locator("#label_jacket")).to_be_focused()
        expect(page.locator("#label_jacket")).to_have_accessible_description(re.compile("^We do not know that size"))


def test_a_wrong_answer_is_said_beside_its_field_which_has_the_focus(browser, site):
    with visiting(browser, site) as page:
        before = len(page.asked)
        answer(page, height="17", weight="heavy")
        height = page.locator("#height")
        expect(height).to_be_focused()
        expect(height).to_have_attribute("aria-invalid", "true")
        expect(height).to_have_accessible_description(re.compile("^A height such as 178, 1.78 or 5'10"))
        expect(page.locator("#weight")).to_have_accessible_description(re.compile("^A weight such as"))
        assert before == len(page.asked)
        answer(page, height="178", weight="")
        assert heading(page)


def test_with_no_answer_at_all_it_asks_for_one(browser, site):
    with visiting(browser, site) as page:
        find(page)
        expect(page.locator("#chest_girth")).to_have_accessible_description(re.compile("^Tell us one of these"))


# ---------------------------------------------------------------- the answer


def test_the_next_measure_is_the_one_that_the_service_ranks_first_and_its_answer_is_counted(browser, site, outfitters):
    assert "chest_girth" == advise(outfitters)["next_measures"][0]["dimension"]
    after = advise(outfitters, readings=[*SAID, taped(99.5)[0] | {"repeats": [99]}])
    with visiting(browser, site) as page:
        answer(page)
        assert "chest" == next_question(page)
        measure(page, "99,5 cm", "99 cm")
        assert after["plans"][0]["jacket"]["label"][:2] in heading(page)
        assert after["plans"][0]["trousers"]["label"] in heading(page)
        assert "chest" != next_question(page)


def test_what_the_visitor_cannot_measure_is_not_asked_again_and_the_questions_come_to_an_end(browser, site):
    asked = []
    with visiting(browser, site) as page:
        answer(page)
        skip = page.get_by_role("button", name="I cannot measure that")
        while skip.count():
            asked.append(next_question(page))
            skip.click()
            settled(page)
        assert "Have it fitted before it is altered." in everything(page)
    assert 3 <= len(asked) <= 9
    assert sorted(set(asked)) == sorted(asked)


def test_where_no_size_serves_that_is_the_answer_with_what_to_ask_for_and_nothing_to_take(browser, site, outfitters):
    # A chest of 52 in over a waist of 38: broader than any jacket of the chart.
    told = advise(outfitters, readings=[SAID[0], *taped(132, 97)], age_years=40)
    assert "no" == told["serves"]["serves"]
    with visiting(browser, site) as page:
        answer(page, "tape", chest_girth="132 cm", trouser_waist_girth="97 cm", height="178")
        assert "no size here will serve you" in heading(page).lower()
        assert "Come and be measured" in everything(page)
        assert 0 == take_button(page).count()
        assert 0 == page.get_by_role("heading", name="What we would alter").count()


def test_where_too_little_is_known_nothing_is_named_and_nothing_can_be_taken(browser, site, outfitters):
    told = advise(outfitters, readings=SAID[:1], age_years=40)["plans"][0]["confidence"]
    with visiting(browser, site) as page:
        answer(page, height="178")
        assert told["jacket"]["fits_altered"] < 0.05
        assert "Jacket: we cannot tell yet." in heading(page)
        assert 0 == take_button(page).count()
        assert "chest" == next_question(page)


def test_beyond_the_men_it_knows_it_names_no_size_and_asks_for_the_tape(browser, site):
    with visiting(browser, site) as page:
        answer(page, height="225", weight="100 kg", age="75")
        assert heading(page).startswith("From this alone we cannot choose a size")
        assert "outside the range that we can estimate" in everything(page)
        assert "chest" == next_question(page)
        assert 0 == take_button(page).count()


def test_certainty_is_a_thread_under_the_tape_of_sizes_basted_where_it_may_move(browser, site, outfitters):
    with visiting(browser, site) as page:
        answer(page)
        tapes = page.locator("size-adviser ol.tape")
        assert 2 == tapes.count()
        assert ["34", "36"] == tapes.last.locator(".may").all_inner_texts()
        expect(tapes.last.locator(".ours")).to_have_text("35")
        # The words say the same: the tape is not read out.
        expect(tapes.last).to_have_attribute("aria-hidden", "true")
        assert "between 34 and 36" in heading(page)
        assert not re.search(r"\d+ of 100|\d ?%", everything(page))


def test_why_is_a_figure_and_at_most_six_lines_with_the_rest_folded(browser, site):
    with visiting(browser, site) as page:
        answer(page)
        picture = page.get_by_role("img", name=re.compile("^A customer from the front"))
        lines = page.locator("size-adviser ol.places li")
        assert 6 == lines.count()
        assert [str(n) for n in range(1, 7)] == [each for each in picture.locator("text").all_text_contents() if each]
        # Not by colour alone: what is altered has another shape, and another word.
        assert picture.locator(".mark.work path").count() >= 1
        assert "Length of the leg: sold uncut, hemmed to you" in picture.get_attribute("aria-label")
        folded = page.get_by_text("Every place").locator("..")
        assert 11 == folded.locator("li").count()
        expect(folded.locator("li").first).to_be_hidden()
        unknown = page.get_by_text("What we do not know").locator("..")
        unknown.locator("summary").click()
        assert "11 of 11 places were not measured" in unknown.inner_text()


# ---------------------------------------------------------------- the choice


def test_close_usual_or_easy_and_one_garment_or_both_ask_anew(browser, site, outfitters):
    with visiting(browser, site) as page:
        answer(page)
        for wish in ("close", "easy", "usual"):
            page.get_by_role("radio", name=wish).check()
            settled(page)
            best = advise(outfitters, wish=wish)["plans"][0]
            assert best["trousers"]["label"] in heading(page)
            # What is only estimated sends nobody away: with a closer fit wished for, the tape is asked for.
            assert best["serves"] != "no" or "Jacket: we cannot tell yet" in heading(page)
        page.get_by_role("radio", name="the jacket", exact=True).check()
        settled(page)
        assert "Trousers" not in heading(page)


def test_another_size_by_hand_is_told_with_what_it_would_mean(browser, site, outfitters):
    stock = {"jackets": [{"chart": "everyday", "label": "36R"}], "trousers": [{"chart": "everyday", "label": "35"}]}
    plan = advise(outfitters, stock=stock)["plans"][0]
    tight = [each["place"] for each in plan["places"] if each["garment"] == "jacket" and each["misfit"]]
    assert "chest" in tight
    with visiting(browser, site) as page:
        answer(page)
        page.get_by_label("Another jacket size").select_option("36R")
        settled(page)
        assert heading(page) == "Jacket 36 regular. Trousers 35."
        assert re.search(r"Jacket 36 regular would be tight .*across the chest", everything(page))
        assert 0 == take_button(page).count()
        page.get_by_label("Another jacket size").select_option("40R (ours)")
        settled(page)
        assert heading(page).startswith("Jacket 40 regular")


# ---------------------------------------------------------------- taking it


def test_taking_a_size_is_confirmed_where_the_finger_is_and_tells_the_page_what_to_order(browser, site, outfitters):
    plan = advise(outfitters)["plans"][0]
    with visiting(browser, site) as page:
        page.evaluate(HEARD)
        answer(page)
        take_button(page).click()
        taken = page.get_by_text("In your basket: jacket 40 regular and trousers 35.")
        expect(taken).to_be_visible()
        assert page.evaluate(
            "() => document.querySelector('size-adviser').shadowRoot.activeElement.innerText"
        ).startswith("In your basket")
        expect(page.locator("#basket")).to_have_text("In your basket: jacket 40R, trousers 35.")
        (detail,) = page.evaluate("window.heard")
    assert plan["jacket"] == detail["jacket"]
    assert {"chart", "revision", "label", "sku", "gtin"} == set(detail["trousers"])
    assert plan["confidence"]["jacket"]["best"] == detail["how_sure"]["jacket"]
    parts = ("garment", "alteration", "amount", "basis", "direction", "side", "price", "seen")
    assert [{part: each[part] for part in parts} for each in plan["alterations"]] == [
        {part: each[part] for part in parts} for each in detail["alterations"]
    ]
    assert (plan["price"], False) == (detail["price"], detail["by_hand"])


def test_the_till_places_the_order_from_the_advice_id_that_the_page_was_told(browser, site, outfitters):
    with visiting(browser, site) as page:
        page.evaluate(HEARD)
        answer(page, "tape", chest_girth="100 cm", trouser_waist_girth="86 cm", height="178")
        take_button(page).click()
        expect(page.locator("#basket")).to_contain_text("In your basket")
        (detail,) = page.evaluate("window.heard")
    order = outfitters.staff.post(
        "/v1/orders", {"from_advice": detail["advice_id"], "by": "till-1"}, key=detail["advice_id"][:40]
    )
    assert 201 == order.status
    assert {detail["jacket"]["label"], detail["trousers"]["label"]} == {
        each["label"] for each in order.body["garments"]
    }


def test_only_who_wishes_it_gets_a_code_and_with_it_the_fitter_goes_on(browser, site, outfitters):
    with visiting(browser, site) as page:
        answer(page, weight="76 kg", height="178")
        take_button(page).click()
        assert not any("/v1/kept-advice" in url for url in page.asked)
        page.get_by_role("button", name="Keep my answers and give me a code").click()
        code = page.locator("size-adviser .code")
        expect(code).to_have_text(re.compile(r"^[A-Z2-7]{4}-[A-Z2-7]{4}$"))
        expect(page.get_by_role("img", name=code.inner_text())).to_be_visible()
        kept = outfitters.staff.get(f"/v1/kept-advice/{code.inner_text()}").body
        assert [] == page.complaints
    assert SAID == kept["asked"]["readings"]
    again = outfitters.staff.post("/v1/size-advice", kept["asked"]).body["plans"][0]
    assert "40R" == again["jacket"]["label"]


# ---------------------------------------------------------------- what goes wrong


def test_where_the_service_is_away_the_answers_stay_and_the_visitor_may_try_again(browser, site):
    with visiting(browser, site) as page:
        answer(page)
        page.get_by_role("button", name="Change or add").click()
        browser.set_offline(True)
        try:
            answer(page, height="180", weight="80")
            expect(page.get_by_role("alert")).to_contain_text("cannot be reached just now")
            # No answer to other answers stands beside it.
            assert "first guess" not in everything(page)
        finally:
            browser.set_offline(False)
        page.get_by_role("button", name="Try again").click()
        settled(page)
        assert "Jacket" in heading(page)


def test_a_visitor_who_asks_too_often_is_told_when_to_come_again(browser, one_house, outfitters):
    app = create_app(Settings(database_url=one_house.url, address_per_minute=6), one_house.context)
    with (
        serving(app) as api,
        served_page(api, one_house.context, outfitters.id) as site,
        visiting(browser, site) as page,
    ):
        # Where a minute ends in between, a few more are let in.
        for _ in range(12):
            answer(page)
            if page.get_by_role("alert").count():
                break
            page.get_by_role("button", name="Change or add").click()
        expect(page.get_by_role("alert")).to_contain_text(re.compile(r"Please try again in \d+ seconds"))


def test_the_key_opens_no_page_of_another_origin(browser, site, one_house, outfitters):
    with served_page(site.api, one_house.context, outfitters.id, key=site.key) as thief:
        page = browser.new_page()
        try:
            page.goto(thief.origin)
            answer(page)
            expect(page.get_by_role("alert")).to_be_visible()
            assert 0 == take_button(page).count()
        finally:
            page.close()
