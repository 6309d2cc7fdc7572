"""Any question that the contract allows is answered, or refused by a rule: over charts of every shape, no fault."""

import random

import pytest

from service.tailoring.body.readings import dimensions
from service.tailoring.fitting.fit_points import appearances, fit_points
from service.tailoring.garments.alterations import catalogue
from service.tailoring.garments.charts import GARMENTS
from tests.bench.large_charts import labels_of, large_chart, pairs_chart
from tests.databases import either_database
from tests.demo.charts import everyday
from tests.http.sheets import reading
from tests.tailoring.men import middle_man

pytestmark = [either_database, pytest.mark.lengthy]
QUESTIONS = 150
ALIKE = [f"large-{at}" for at in range(8)]
CHARTS = ["reference", "everyday", "pairs-0", "pairs-1", *ALIKE]
LABELS = {
    "large-0": labels_of,
    "pairs-0": lambda garment: [f"{garment[0].upper()}{at}" for at in range(100)],
    "everyday": lambda garment: [each["label"] for each in everyday()["sizes"] if each["garment"] == garment],
}


@pytest.fixture
def stocked(staff):
    """A shop with charts of every shape: separates, pairs by the thousand, and eight that are all but alike."""
    made = {f"pairs-{at}": pairs_chart(at) for at in range(2)} | {
        code: large_chart(at) for at, code in enumerate(ALIKE)
    }
    for code, chart in (made | {"everyday": everyday()}).items():
        assert 201 == staff.ask("PUT", f"/v1/charts/{code}", chart).status
    return staff


def some(rnd, things, most=None):
    """A few of them, in no order: none of them, too."""
    return rnd.sample(list(things), rnd.randint(0, min(len(things), most or len(things))))


def readings(rnd):
    man = middle_man()
    larger = rnd.choice((0.02, 0.06, 0.15))
    return [
        reading(name, round(man[name] * (1 + rnd.uniform(-larger, larger)), 1), "kg" if name == "body_mass" else "mm")
        for name in some(rnd, dimensions(), 8)
    ]


def known(rnd):
    said = {"readings": readings(rnd)}
    if rnd.random() < 0.5:
        said["age_years"] = rnd.choice((17, 30, 45, 61, 84))
    if rnd.random() < 0.3:
        said["wears"] = [worn(rnd, rnd.choice(GARMENTS)) | {"how": rnd.choice(("fits", "too_tight", "too_loose"))}]
    if rnd.random() < 0.3:
        said["wish"] = rnd.choice(("close", "usual", "easy"))
    if rnd.random() < 0.6:
        said["charts"] = some(rnd, CHARTS, 8) or ["reference"]
    return said | {"limit": rnd.choice((1, 3, 20))}


def worn(rnd, garment, chart=None):
    # Pairs have no waistcoat, nor has the everyday chart.
    chart = "large-0" if garment == "waistcoat" else chart or rnd.choice(list(LABELS))
    return {"garment": garment, "chart": chart, "label": rnd.choice(LABELS[chart](garment))}


def advice(rnd):
    asked = known(rnd) | {"garments": some(rnd, GARMENTS) or ["jacket"]}
    if rnd.random() < 0.3:
        chart = rnd.choice(list(LABELS))
        asked["stock"] = {
            f"{garment.rstrip('s')}s": [
                {"chart": chart, "label": label} for label in some(rnd, LABELS[chart](garment), 12)
            ]
            for garment in ("jacket", "trousers")
        }
    return "/v1/size-advice", asked


def check(rnd):
    chart = rnd.choice(list(LABELS))
    on = some(rnd, ("jacket", "trousers")) or ["jacket"]
    points = [each for each in fit_points().values() if each.garment in on]
    seen = [
        {"point": point.code, "seen": rnd.choice(appearances(point.code)).name}
        | ({"side": rnd.choice(("left", "right"))} if point.sided else {})
        for point in rnd.sample(points, rnd.randint(1, min(12, len(points))))
    ]
    wearing = {garment: {k: v for k, v in worn(rnd, garment, chart).items() if k != "garment"} for garment in on}
    return "/v1/fit-checks", known(rnd) | {"worn": wearing, "observations": seen}


def length(rnd, least, most):
    eighths = rnd.randint(round(least * 8), round(most * 8))
    return rnd.choice(({"value": eighths / 8, "unit": "in"}, {"value": round(eighths * 3.175, 1), "unit": "mm"}))


def dressed(rnd):
    may_be = {
        "shoes": ("own", "lent"), "shirt_cuff": ("single", "double", "none"), "pockets": ("empty", "full"),
        "shirt_collar": ("usual", "high", "low", "none"), "held_up_by": ("belt", "braces", "neither"),
        "to_be_held_up_by": ("belt", "braces", "neither"),
    }  # fmt: skip
    return {name: rnd.choice(may_be[name]) for name in some(rnd, may_be)}


def hem(rnd):
    """How a leg is to end: pinned, or by the inside leg."""
    may_be = {
        "break": rnd.choice(("cropped", "none", "quarter", "half", "full")),
        "finish": rnd.choice(("plain", "turn_up")), "turn_up": length(rnd, 1, 3), "slant": length(rnd, 0, 1),
        "inside_turn": length(rnd, 0.5, 3), "dressed": dressed(rnd),
    }  # fmt: skip
    said = {name: may_be[name] for name in some(rnd, may_be, 3)}
    if rnd.random() < 0.8:
        said["pins"] = {side: length(rnd, 26, 36) for side in ("left", "right")}
    else:
        said["inside_leg"] = length(rnd, 26, 36)
    return said


def hem_plan(rnd):
    asked = hem(rnd) | {name: value for name, value in known(rnd).items() if name in ("readings", "age_years", "wears")}
    if rnd.random() < 0.7:
        asked |= {"chart": "everyday", "label": rnd.choice(LABELS["everyday"]("trousers"))}
    return "/v1/hem-plans", asked


def quote(rnd):
    """A sheet of one to three pieces, with lines that their garments may have, more of them than serve."""
    garments = [rnd.choice(("jacket", "trousers")) for _ in range(rnd.randint(1, 3))]
    pieces = [
        {"garment": garment, "chart": "everyday", "label": rnd.choice(LABELS["everyday"](garment))}
        | ({"hemmed": rnd.random() < 0.5} if garment == "trousers" else {})
        for garment in garments
    ]
    lines = [line(rnd, number, garment) for number, garment in enumerate(garments, 1) for _ in range(rnd.randint(0, 2))]
    legs = [number for number, garment in enumerate(garments, 1) if garment == "trousers"]
    hems = [hem(rnd) | {"piece": number} for number in some(rnd, legs)]
    said = {"garments": pieces, "lines": lines, "hems": hems, "add_follow_ons": rnd.random() < 0.7}
    return "/v1/alteration-quotes", said | ({"to_be_pinned": True} if rnd.random() < 0.5 else {})


def line(rnd, number, garment):
    doing = rnd.choice([each for each in catalogue().values() if each.garment == garment])
    said = {"piece": number, "alteration": doing.code}
    if doing.basis and doing.directions:
        said |= {"amount": length(rnd, 0.125, 1.25), "basis": doing.basis, "direction": rnd.choice(doing.directions)}
    return said | ({"side": rnd.choice(("left", "right", "both"))} if doing.sided else {})


@pytest.mark.parametrize("ask", [advice, check, hem_plan, quote])
def test_any_question_is_answered_or_refused_by_a_rule(stocked, ask):
    refused = {}
    for number in range(QUESTIONS):
        path, asked = ask(random.Random(f"{ask.__name__} {number}"))
        answer = stocked.post(path, asked)
        assert answer.status in {200, 201, 422}, (number, asked, answer.body)
        if answer.status == 422:
            refused.setdefault(answer.body["code"], []).append(number)
    # A good part are questions that a shop may ask.
    assert QUESTIONS - sum(map(len, refused.values())) > QUESTIONS / 4, {code: len(at) for code, at in refused.items()}
