"""The fitter's half of the day: sizes, the tape, the mirror."""

# ruff: noqa: INP001, T201  a script of the demo, and printing is its purpose

from __future__ import annotations

from typing import Any

from asking import (
    CUSTOMER,
    FITTER,
    Counter,
    body_lines,
    heading,
    inches,
    judged,
    new_key,
    plain,
    plan_lines,
    sizes,
    verdicts,
)


def taped(dimension: str, value: str, unit: str = "in", *, twice: bool = False) -> dict[str, Any]:
    """A reading by trained staff; chest and waist are read twice."""
    repeats: dict[str, Any] = {"repeats": [value]} if twice else {}
    return {"dimension": dimension, "value": value, "unit": unit, "source": "measured", **repeats}


def said(dimension: str, value: float, unit: str) -> dict[str, Any]:
    """A reading that the customer gives from memory."""
    return {"dimension": dimension, "value": value, "unit": unit, "source": "self_reported"}


def open_the_shop(counter: Counter) -> None:
    """The service is there, and says what a fitter looks at."""
    heading("The shop opens", "Is the service ready, and which points does it want looked at on a suit?")
    counter.ask("nobody", "GET /health/ready", read=lambda answer: [answer["status"]])

    def points(answer: dict[str, Any]) -> list[str]:
        return [f"{each['point']} – {each['words']}: {each['how']}" for each in answer["fit_points"]]

    found = counter.ask("staff", "GET /v1/fit-points", read=points).document["fit_points"]
    names = {each["point"] for each in found}
    needed = {"front_closure", "lapel", "jacket_cuff", "trouser_break"}
    counter.check(needed <= names, f"fit points {needed}", names, f"{len(found)} points, in the order of looking")


def a_plain_man(counter: Counter) -> None:
    """36 chest, 30 waist, middling height: the pair needs its hem and nothing else."""
    heading(
        "A 36 chest, 30 waist, 175 cm tall",
        "Taped with his consent over a shirt, chest and waist twice. Our everyday trousers come with the leg uncut, "
        "so every pair is hemmed. Which jacket, which trousers?",
    )
    readings = [
        taped("chest_girth", "36", twice=True),
        taped("trouser_waist_girth", "30", twice=True),
        taped("stature", "175", "cm"),
    ]
    answer = counter.ask("staff", "POST /v1/size-advice", {"readings": readings, "charts": ["everyday"]}, read=judged)
    best = answer.document["plans"][0]
    counter.check(sizes(best) == "36R jacket with 30 trousers", "36R with 30", sizes(best))
    codes = [each["alteration"] for each in best["alterations"]]
    counter.check(codes == ["trouser_hem"], "the hem only", codes, "36R with 30, and the hem is all there is to do")
    print("\nIt is not sure yet: what was not taped is only reckoned. A few minutes more with the tape:")
    more = [
        taped("hip_girth", "35 1/2"),
        taped("thigh_girth", "21 1/4"),
        taped("arm_length", "23 1/4"),
        taped("shoulder_width", "17 1/8"),
        taped("natural_waist_girth", "29 1/2"),
        taped("back_width", "15 1/4"),
        taped("cervical_height", "59 1/4"),
    ]
    body = {"readings": [*readings, *more], "charts": ["everyday"], "limit": 1}
    told = "the same readings, and " + ", ".join(f"{plain(each['dimension'])} {each['value']} in" for each in more)
    answer = counter.ask("staff", "POST /v1/size-advice", body, read=judged, told=told)
    surer = answer.document["plans"][0]
    counter.check(sizes(surer) == sizes(best), sizes(best), sizes(surer))
    sure = surer["confidence"]["together"]["best"]
    counter.check(sure > 0.9, "sure", sure, "the same answer, and now it is sure")  # noqa: PLR2004


def a_web_customer(counter: Counter) -> None:
    """Little is known, so little is promised; one measure more makes it surer."""
    heading(
        "A web customer who knows his height, weight and age",
        "He wants a jacket. From so little nobody can be sure of his size; the answer says how unsure it is, and which "
        "one measure would pay most.",
    )
    readings = [said("stature", 178, "cm"), said("body_mass", 76, "kg")]
    body = {"readings": readings, "age_years": 34, "charts": ["everyday"], "garments": ["jacket"]}

    def read(answer: dict[str, Any]) -> list[str]:
        return [*body_lines(answer, "chest_girth", "waist_girth"), *judged(answer)]

    first = counter.ask("web", "POST /v1/size-advice", body, read=read).document
    unsure = first["plans"][0]["confidence"]["together"]["best"]
    counter.check(unsure < 0.5, "a low certainty", unsure)  # noqa: PLR2004  less than an even chance
    next_measure = first["next_measures"][0]["dimension"]
    counter.check(next_measure == "chest_girth", "chest to be measured next", next_measure, "unsure, and asks for one")
    heading("He puts a tape round his chest", "Twice, as the page shows him: 39 1/2 in both times.")
    chest = {**taped("chest_girth", "39 1/2", twice=True), "source": "self_measured"}
    second = counter.ask("web", "POST /v1/size-advice", {**body, "readings": [*readings, chest]}, read=read).document
    surer = second["plans"][0]["confidence"]["together"]["best"]
    counter.check(
        surer > unsure,
        f"surer than {unsure}",
        surer,
        f"{sizes(second['plans'][0])}: from {unsure * 100:.0f} in 100 to {surer * 100:.0f} in 100",
    )


def a_slip_of_the_unit(counter: Counter) -> None:
    """Inches written for centimetres."""
    heading("A slip of the pen", "A new hand writes 92 in for a chest. No such man walked in.")
    readings = [{"dimension": "chest_girth", "value": 92, "unit": "in"}, taped("stature", "175", "cm")]
    answer = counter.ask(
        "staff",
        "POST /v1/size-advice",
        {"readings": readings, "charts": ["everyday"], "limit": 1},
        read=lambda found: [f"look again: {each['text']} (at {each['pointer']})" for each in found["warnings"]],
    )
    found = [each for each in answer.document["warnings"] if each["code"] == "did_you_mean"]
    counter.check(bool(found), "did_you_mean", answer.document["warnings"])
    counter.check(
        found[0]["pointer"] == "/readings/0", "/readings/0", found[0]["pointer"], "pointed out, with its place"
    )


def at_the_tape(counter: Counter) -> dict[str, Any]:
    """A customer's readings are kept under the till's own reference."""
    heading(
        "The next customer is measured, and the readings are kept",
        "No name: the till's own reference is enough. He held the tape himself for the inside leg.",
    )
    readings = [
        taped("chest_girth", "40", twice=True),
        taped("trouser_waist_girth", "32 1/2", twice=True),
        taped("hip_girth", "38 1/2"),
        taped("stature", "178", "cm"),
        taped("inside_leg_length", "33 1/4"),
    ]
    body = {"customer_ref": CUSTOMER, "by": FITTER, "readings": readings, "note": "likes an easy jacket"}

    def read(answer: dict[str, Any]) -> list[str]:
        kept = [f"{plain(each['dimension'])}: {each['size']['text']}" for each in answer["readings"]]
        reckoned = body_lines(answer, "arm_length", "thigh_girth", "back_width")
        return [f"kept on {answer['taken_on']}: " + "; ".join(kept), *reckoned]

    taken: dict[str, Any] = counter.ask(
        "staff", "POST /v1/measurement-sets", body, gives=201, read=read, headers=new_key()
    ).document
    listed = counter.ask(
        "staff",
        f"GET /v1/customers/{CUSTOMER}/measurement-sets",
        read=lambda answer: [f"{each['taken_on']}, by {each['by']}" for each in answer["measurement_sets"]],
    ).document["measurement_sets"]
    counter.check(listed[0]["id"] == taken["id"], taken["id"], listed[0]["id"], "kept, and found again")
    return taken


def at_the_mirror(counter: Counter, taken: dict[str, Any]) -> dict[str, Any]:
    """He tries 40R with 33: what is seen decides whether it is kept, altered or swapped."""
    heading(
        "At the mirror: he has 40R and 33 on",
        "One button fastened, 1 1/4 in of cloth can be held away in front (1/2 in is right). The left cuff is 3/4 in "
        "past the wrist, the right 1/2 in. The lapel lies flat, the back ends at the line of the seat.",
    )
    body = {
        "worn": {"jacket": {"chart": "everyday", "label": "40R"}, "trousers": {"chart": "everyday", "label": "33"}},
        "observations": [
            {"point": "front_closure", "spare": inches("1 1/4")},
            {"point": "lapel", "seen": "flat"},
            {"point": "jacket_cuff", "side": "left", "spare": inches("3/4")},
            {"point": "jacket_cuff", "side": "right", "spare": inches("1/2")},
            {"point": "jacket_back_length", "seen": "right"},
        ],
        "measurement_set": taken["id"],
        "charts": ["everyday"],
    }
    check: dict[str, Any] = counter.ask(
        "staff", "POST /v1/fit-checks", body, gives=201, read=verdicts, headers=new_key()
    ).document
    counter.check(check["decision"] == "alter", "alter", check["decision"])
    done = {(each["alteration"], each["side"]): each["amount"]["text"] for each in check["plans"][0]["alterations"]}
    cuffs = {side: done.get(("jacket_sleeve_shorten_at_cuff", side)) for side in ("left", "right")}
    counter.check(cuffs == {"left": "3/4 in", "right": "1/2 in"}, "3/4 in left, 1/2 in right", cuffs)
    counter.check(
        ("jacket_waist_in", None) in done, "the waist taken in", done, "kept and altered, each sleeve by its own amount"
    )
    return check


def at_the_mirror_too_small(counter: Counter) -> None:
    """A lapel that bows and a front that pulls: no needle mends that."""
    heading(
        "At the mirror: another man, in 38R and 32",
        "The lapel bows away from his chest and the front pulls across the button. Alter it, or bring another size?",
    )
    body = {
        "worn": {"jacket": {"chart": "everyday", "label": "38R"}, "trousers": {"chart": "everyday", "label": "32"}},
        "observations": [{"point": "lapel", "seen": "bows_away"}, {"point": "front_closure", "seen": "pulls"}],
        "charts": ["everyday"],
        "limit": 2,
    }
    check = counter.ask("staff", "POST /v1/fit-checks", body, gives=201, read=verdicts).document
    counter.check(check["decision"] == "swap", "swap", check["decision"])
    brought = check["plans"][0]["jacket"]["label"]
    counter.check(
        brought.startswith(("40", "42")), "a larger jacket", brought, f"swap: bring him {sizes(check['plans'][0])}"
    )


def an_evening_suit(counter: Counter, taken: dict[str, Any]) -> None:
    """Suits sold as pairs with one drop: the jacket brings its trousers along."""
    heading(
        "The same man wants an evening suit",
        "Those are sold as pairs with a six-inch drop, and marked in centimetres: jacket and trousers cannot be chosen "
        "apart. His chest (101.6 cm) is between 100 and 104: the larger, taken in, is weighed against the smaller.",
    )
    body = {"measurement_set": taken["id"], "charts": ["evening"], "limit": 2}
    plans = counter.ask(
        "staff", "POST /v1/size-advice?units=cm", body, read=lambda answer: plan_lines(answer["plans"])
    ).document["plans"]
    drops = {int(each["jacket"]["label"][:-1]) - int(each["trousers"]["label"]) for each in plans}
    counter.check(drops == {15}, "pairs with a drop of 15 cm", drops, "every pair offered is one that is sold")
