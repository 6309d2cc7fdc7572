"""The drawing of a fit check over HTTP."""

from xml.etree import ElementTree as ET

import pytest

from tests.http.sheets import WORN, inches
from tests.papers.looking import SVG, TEXT


def a_check(staff):
    seen = [
        {"point": "front_closure", "seen": "boxy"},
        {"point": "jacket_cuff", "spare": inches("3/4"), "side": "left"},
        {"point": "shoulder", "seen": "right", "side": "both"},
    ]
    return staff.post("/v1/fit-checks", {**WORN, "observations": seen}).body["id"]


def asked_for(staff, check, accept):
    return staff.get(f"/v1/fit-checks/{check}/drawing", headers={"Accept": accept} if accept else {})


@pytest.mark.parametrize(
    ("accept", "served"),
    [(None, SVG), ("*/*", SVG), ("image/*", SVG), (SVG, SVG), (TEXT, TEXT), ("text/*, image/svg+xml;q=0.2", TEXT)],
)
def test_a_drawing_is_served_as_the_caller_likes_it_best(staff, accept, served):
    answer = asked_for(staff, a_check(staff), accept)
    assert (200, served, "Accept") == (
        answer.status,
        answer.headers["Content-Type"].partition(";")[0],
        answer.headers["Vary"],
    )
    assert "no-store" == answer.headers["Cache-Control"]


def test_another_format_is_refused_with_those_that_there_are(staff):
    answer = asked_for(staff, a_check(staff), "image/png")
    assert (406, "not_acceptable", [""]) == answer.problem


def test_every_verdict_of_the_check_is_said_in_both_formats(staff):
    check = a_check(staff)
    text = asked_for(staff, check, TEXT).raw.decode()
    for line in (
        # What was seen there, beside its verdict.
        "front at the fastening button: too much (boxy).",
        "cuff of the jacket, left: too much (3/4 in past the wrist).",
        "shoulder, both sides: right.",
    ):
        assert line in text
    for verdict in staff.get(f"/v1/fit-checks/{check}").body["verdicts"]:
        assert verdict["words"] in text
    root = ET.fromstring(asked_for(staff, check, SVG).raw)
    assert text == root.find("{http://www.w3.org/2000/svg}desc").text + "\n"


def test_a_drawing_of_no_check_is_not_found(staff):
    answer = asked_for(staff, "00000000-0000-4000-8000-000000000000", SVG)
    assert 404 == answer.status


def test_who_was_shown_the_drawing_is_recorded_as_for_the_check(staff):
    check = staff.post("/v1/fit-checks", {**WORN, "customer_ref": "C-77"}).body["id"]
    asked_for(staff, check, SVG)
    shown = staff.get("/v1/disclosures", query={"customer_ref": "C-77"}).body["disclosures"]
    assert [("fit_check", "C-77")] == [(each["what"], each["customer_ref"]) for each in shown]
