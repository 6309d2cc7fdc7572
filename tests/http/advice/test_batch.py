import json

import pytest

from service.http.advice.batch import EXAMPLE, BatchSeconds, lines_to_the_end
from service.http.heartbeat import WORKER
from service.tailoring.sizing import batch_costs as costs
from service.use_cases.shop.keys import give_key
from tests.databases import either_database

MAN = {
    "ref": "staff-1",
    "readings": [
        {"dimension": "chest_girth", "value": 36, "unit": "in"},
        {"dimension": "waist_girth", "value": 30, "unit": "in"},
        {"dimension": "stature", "value": 175, "unit": "cm"},
    ],
}
TALL = {"ref": "staff-2", "readings": [{"dimension": "stature", "value": 190, "unit": "cm"}], "age_years": 30}
ODD = {"ref": "staff-3", "readings": [{"dimension": "chest_girth", "value": 10, "unit": "in"}]}
LINES = {"Content-Type": "application/x-ndjson"}


def in_lines(question, *people):
    return "\n".join(json.dumps(each) for each in (question, *people)).encode()


def test_many_are_answered_as_one_by_one_in_their_order(staff):
    answers = staff.post("/v1/size-advice/batch", {"people": [TALL, MAN], "limit": 3}).body["answers"]
    assert ["staff-2", "staff-1"] == [answer["ref"] for answer in answers]
    for person, answer in zip((TALL, MAN), answers, strict=True):
        asked = {name: value for name, value in person.items() if name != "ref"}
        alone = staff.post("/v1/size-advice", asked | {"limit": 3}).body["plans"]
        shown = ("jacket", "trousers", "waistcoat", "ranking")
        assert [{name: plan[name] for name in shown} for plan in alone] == answer["plans"]


def test_whole_answers_are_those_of_one_by_one(staff):
    # A batch is one answer, in one unit: each alone might be in its own.
    inches = {"units": "in"}
    asked = {"people": [MAN, ODD, TALL], "limit": 2, "whole": True}
    found = staff.post("/v1/size-advice/batch", asked, query=inches).body["answers"]
    for person, answer in ((MAN, found[0]), (TALL, found[2])):
        asked = {name: value for name, value in person.items() if name != "ref"}
        alone = staff.post("/v1/size-advice", asked | {"limit": 2}, query=inches).body
        assert alone | {"ref": person["ref"], "problem": None} == answer
    assert ([], "reading_out_of_bounds") == (found[1]["plans"], found[1]["problem"]["code"])


def crowd(many, *more, **options):
    readings = [*MAN["readings"], *more]
    return {"people": [{"ref": f"staff-{i}", "readings": readings} for i in range(many)], **options}


LABEL = {"dimension": "waist_girth", "value": 34, "unit": "in", "source": "label"}


@pytest.mark.parametrize(
    ("asked", "each"),
    [
        (crowd(2000, whole=True), 3 + 5 + 10 + 5 + 30 + 30 + 10),
        (crowd(2000, limit=20, whole=True), 3 + 5 + 10 + 5 + 30 + 30 + 200),
        (crowd(8000, LABEL), 4 + 5 + 10 + 5 + 1),
        (crowd(9000, charts=["reference", "reference-stout"]), 3 + 10),
        (crowd(9000, {"dimension": "hip_girth", "value": 1, "unit": "m", "repeats": [1] * 9}), 13 + 5),
    ],
    ids=["whole", "whole with twenty plans", "labels", "two charts", "repeats"],
)
def test_a_batch_that_is_too_dear_is_told_how_many_people_fit_before_any_is_read(staff, asked, each):
    answer = staff.post("/v1/size-advice/batch", asked)
    assert (422, "batch_too_dear", ["/people"]) == answer.problem
    facts = answer.body["errors"][0]["facts"]
    assert 100_000 == facts["most"]
    assert 100_000 // each == pytest.approx(facts["fits"], abs=2)
    assert str(facts["fits"]) in answer.body["detail"]


def test_the_dearest_batch_that_fits_is_answered(staff):
    asked = crowd(1, whole=True)
    fits = staff.post("/v1/size-advice/batch", crowd(2000, whole=True)).body["errors"][0]["facts"]["fits"]
    assert 200 == staff.post("/v1/size-advice/batch", asked).status
    assert 422 == staff.post("/v1/size-advice/batch", crowd(fits + 1, whole=True)).status


def test_a_chart_of_many_sizes_costs_more_than_is_known_from_the_request(staff):
    steps = [30 + i / 8 for i in range(230)]
    rows = [
        {"garment": "jacket", "label": f"{i}", "body": i, "chest": i + 4, "waist": i, "sleeve": 25, "back_length": 30}
        for i in steps
    ]
    chart = {"title": "Many sizes", "unit": "in", "sold": "separates", "sizes": rows}
    assert 201 == staff.ask("PUT", "/v1/charts/many", chart).status
    answer = staff.post("/v1/size-advice/batch", crowd(8000, charts=["many"], garments=["jacket"]))
    assert (422, "batch_too_dear", ["/people"]) == answer.problem
    assert 200 == staff.post("/v1/size-advice/batch", crowd(10, charts=["many"], garments=["jacket"])).status


def test_the_contract_says_what_a_batch_may_cost(house):
    told = house.contract.document["paths"]["/v1/size-advice/batch"]["post"]["description"]
    figures = (costs.A_CHART, costs.A_LARGE_CHART, costs.LARGE_SIZES, costs.APART, costs.WHOLE, costs.WHOLE_A_PLAN)
    for figure in (f"{costs.POINTS_MOST:,}", *map(str, figures)):
        assert figure in told


def test_one_mans_refusal_does_not_stop_the_others(staff):
    first, second = staff.post("/v1/size-advice/batch", {"people": [ODD, MAN]}).body["answers"]
    assert ([], "reading_out_of_bounds", "/readings/0/value") == (
        first["plans"],
        first["problem"]["code"],
        first["problem"]["pointer"],
    )
    assert ("36R", "30", None) == (
        second["plans"][0]["jacket"]["label"],
        second["plans"][0]["trousers"]["label"],
        second["problem"],
    )


def test_lines_go_in_and_come_out(staff):
    body = in_lines({"limit": 2}, MAN, TALL)
    document = staff.post("/v1/size-advice/batch", data=body, headers=LINES)
    streamed = staff.post("/v1/size-advice/batch", data=body, headers=LINES | {"Accept": "application/x-ndjson"})
    *answers, end = [json.loads(line) for line in streamed.raw.splitlines()]
    assert document.body["answers"] == answers
    assert {"complete": True, "answered": 2, "problem": None} == end


def test_whole_answers_come_out_in_lines_and_in_the_unit_that_was_asked_for(staff):
    asked, accept = {"people": [TALL, MAN], "whole": True}, {"Accept": "application/x-ndjson"}
    document = staff.post("/v1/size-advice/batch", asked, query={"units": "cm"})
    streamed = staff.post("/v1/size-advice/batch", asked, query={"units": "cm"}, headers=accept)
    assert document.body["answers"] == [json.loads(line) for line in streamed.raw.splitlines()][:-1]


class Worker:
    """A worker that counts how often it hears that it is not stuck."""

    def __init__(self, *, is_ending=False):
        self.is_ending, self.beats = is_ending, 0

    def notify(self):
        self.beats += 1


@pytest.fixture
def asked_of(house, shop):
    """A batch in lines, asked of the service as it is served: by a worker, with so many seconds for it."""
    client = house.contract.app.test_client()
    key = give_key(house.context, shop.id, "till", frozenset({"advise"}))

    def asked(question, accept="application/x-ndjson", worker=None):
        headers = {"Authorization": f"Bearer {key}", "Accept": accept}
        return client.post(
            "/v1/size-advice/batch", json=question, headers=headers, environ_overrides={WORKER: worker or Worker()}
        )

    return asked


@pytest.fixture
def hurry(house):
    """The service while no batch may take any time."""
    kept = house.contract.app.extensions["batch_seconds"]
    house.contract.app.extensions["batch_seconds"] = BatchSeconds(0, 0)
    yield
    house.contract.app.extensions["batch_seconds"] = kept


def test_the_worker_hears_of_each_of_the_people_read_and_of_each_part_answered(asked_of):
    worker = Worker()
    assert asked_of(crowd(300, LABEL), worker=worker).data
    assert worker.beats >= 300 + 300 * 25 // 5000


def test_lines_that_run_out_of_time_say_so_in_the_last(asked_of, hurry):
    *answers, end = [json.loads(line) for line in asked_of(crowd(300, LABEL)).data.splitlines()]
    assert 0 < len(answers) < 300
    assert [f"staff-{i}" for i in range(len(answers))] == [answer["ref"] for answer in answers]
    assert (False, len(answers), "batch_out_of_time") == (end["complete"], end["answered"], end["problem"]["code"])


def test_lines_of_a_server_that_ends_say_so_in_the_last(asked_of):
    worker = Worker()
    response = asked_of(crowd(300, LABEL), worker=worker)
    parts = iter(response.response)
    first = next(parts)
    worker.is_ending = True
    *answers, end = [json.loads(line) for line in b"".join([first, *parts]).splitlines()]
    assert 0 < len(answers) < 300
    assert (False, len(answers), "service_ending") == (end["complete"], end["answered"], end["problem"]["code"])


def test_a_server_that_ends_reads_no_batch(asked_of):
    answer = asked_of(crowd(3), worker=Worker(is_ending=True))
    assert (503, "service_ending") == (answer.status_code, answer.json["code"])


@pytest.mark.usefixtures("hurry")
def test_a_document_that_cannot_be_finished_in_time_is_refused_whole(asked_of):
    answer = asked_of(crowd(300, LABEL), accept="application/json")
    assert (503, "batch_out_of_time") == (answer.status_code, answer.json["code"])


def test_a_fault_among_the_lines_is_said_in_the_last(house):
    def broken():
        yield [b'{"ref": "staff-1"}']
        raise ZeroDivisionError

    with house.contract.app.test_request_context():
        first, end = b"".join(lines_to_the_end(broken())).splitlines()
    assert {"ref": "staff-1"} == json.loads(first)
    end = json.loads(end)
    assert (False, 1, "fault") == (end["complete"], end["answered"], end["problem"]["code"])


def test_a_batch_waits_for_a_slot_and_other_questions_do_not(house, staff):
    slots = house.contract.app.extensions["batch_slots"]
    held = [slots.take(f"key-{n}") for n in range(slots.most)]
    answer = staff.post("/v1/size-advice/batch", EXAMPLE)
    assert (503, "batches_busy", [""]) == answer.problem
    assert 1 <= int(answer.headers["Retry-After"])
    assert 200 == staff.post("/v1/size-advice", {"readings": MAN["readings"]}).status
    for slot in held:
        slot.release()
    assert 200 == staff.post("/v1/size-advice/batch", EXAMPLE).status


def test_a_slot_is_given_back_by_refusals_and_by_answers_that_were_never_fetched(house, staff, asked_of):
    slots = house.contract.app.extensions["batch_slots"]
    for _ in range(slots.most + 1):
        assert 422 == staff.post("/v1/size-advice/batch", {"people": []}).status
        response = asked_of(crowd(3))
        assert 200 == response.status_code
        response.close()
    assert 200 == staff.post("/v1/size-advice/batch", EXAMPLE).status


@pytest.mark.parametrize("body", [b"", b"[]\n", b'{"people": []}\n{}', b'{"limit": 1}\n{"ref": \n'])
def test_lines_that_are_no_question_and_people_are_refused(staff, body):
    answer = staff.post("/v1/size-advice/batch", data=body, headers=LINES)
    assert (400, "json_unreadable") == (answer.status, answer.body["code"])


def test_a_fault_points_to_its_man(staff):
    wrong = MAN | {"readings": [{"dimension": "chest_girth", "value": "81,5", "unit": "cm"}]}
    answer = staff.post("/v1/size-advice/batch", {"people": [MAN, wrong]})
    assert (422, "quantity_unreadable", ["/people/1/readings/0/value"]) == answer.problem


def test_nobody_and_too_many_are_refused(staff):
    assert (422, "field_wrong", ["/people"]) == staff.post("/v1/size-advice/batch", {"people": []}).problem
    many = {"people": [{"ref": "a", "readings": []}] * 10_001}
    assert (422, "field_wrong", ["/people"]) == staff.post("/v1/size-advice/batch", many).problem


@pytest.mark.parametrize("person", [None, 3, "x", [], True, {"ref": "a", "readings": None}, {"readings": [None]}])
def test_whoever_is_no_person_is_refused_where_they_are(staff, person):
    status, _, pointers = staff.post("/v1/size-advice/batch", {"people": [MAN, person]}).problem
    assert 422 == status
    assert all(pointer.startswith("/people/") for pointer in pointers)


@either_database
def test_ten_thousand_are_answered_in_one_call(staff):
    people = [MAN | {"ref": f"staff-{i}"} for i in range(10_000)]
    answers = staff.post("/v1/size-advice/batch", {"people": people}).body["answers"]
    assert [person["ref"] for person in people] == [answer["ref"] for answer in answers]
    assert {"36R"} == {answer["plans"][0]["jacket"]["label"] for answer in answers}


def test_the_example_of_the_contract_is_answered(staff):
    assert 200 == staff.post("/v1/size-advice/batch", EXAMPLE).status
