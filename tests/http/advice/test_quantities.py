import marshmallow
import pytest

from service.http.quantities import ReadingSchema, plain_reading
from service.tailoring.refusals import Refusal
from tests.http.sheets import SLIM, inches, named, reading, sheet


def chest(staff, value, unit="in"):
    return staff.post("/v1/size-advice", {"readings": [reading("chest_girth", value, unit)]})


def read_mm(staff, value, unit="in"):
    """What the service understood, read back from a recorded set."""
    answer = staff.post("/v1/measurement-sets", {"readings": [reading("chest_girth", value, unit)]})
    return answer.body["readings"][0]["size"]["mm"]


@pytest.mark.parametrize(
    ("value", "unit", "mm"),
    [
        (36, "in", 914.4),
        (36.5, "in", 927.1),
        ("36.5", "in", 927.1),
        ("36 1/2", "in", 927.1),
        ("36-1/2", "in", 927.1),
        ("36½", "in", 927.1),
        ("36 ½", "in", 927.1),
        (" 36 1/2 ", "in", 927.1),
        ("36 3/8", "in", 923.9),
        (92, "cm", 920.0),
        ("92.4", "cm", 924.0),
        (924, "mm", 924.0),
    ],
    ids=named,
)
def test_a_length_is_read_as_a_tailor_writes_it(staff, value, unit, mm):
    assert mm == read_mm(staff, value, unit)


@pytest.mark.parametrize(
    ("value", "code"),
    [
        ("81,5", "quantity_unreadable"),
        ("36 3/0", "quantity_unreadable"),
        ("36 1/3", "quantity_unreadable"),
        ("36 3/2", "quantity_unreadable"),
        ("36 1/2 in", "quantity_unreadable"),
        ("36in", "quantity_unreadable"),
        ('36"', "quantity_unreadable"),
        ("", "quantity_unreadable"),
        (" ", "quantity_unreadable"),
        ("NaN", "quantity_unreadable"),
        ("Infinity", "quantity_unreadable"),
        ("1e3", "quantity_unreadable"),
        ("0x24", "quantity_unreadable"),
        ("1_0", "quantity_unreadable"),
        ("\u0663\u0666", "quantity_unreadable"),
        ("\u0969\u096c", "quantity_unreadable"),
        ("\uff13\uff16", "quantity_unreadable"),
        ("36\u00a01/2", "quantity_unreadable"),
        ("36\u20441", "quantity_unreadable"),
        ("36\n", "quantity_unreadable"),
        ("36\x00", "quantity_unreadable"),
        ("9" * 17, "field_wrong"),
        ("36 1/2" + " " * 100, "field_wrong"),
        (True, "quantity_unreadable"),
        (None, "field_wrong"),
        ([36], "quantity_unreadable"),
        ({"in": 36}, "quantity_unreadable"),
        (-1, "quantity_negative"),
        (-0.001, "quantity_negative"),
        ("-36", "quantity_negative"),
        ("-36 1/2", "quantity_negative"),
        (1e300, "quantity_too_large"),
        (10**18, "quantity_too_large"),
        ("9999999999999999", "quantity_too_large"),
        (5000, "quantity_too_large"),
    ],
    ids=named,
)
def test_what_is_no_quantity_is_refused_where_it_stands(staff, value, code):
    answer = chest(staff, value)
    assert (422, code, ["/readings/0/value"]) == answer.problem
    assert answer.body["detail"]


def test_a_comma_is_answered_with_the_point(staff):
    assert "a decimal point, not a comma" in chest(staff, "81,5").body["detail"]


@pytest.mark.parametrize("unit", ["inch", "IN", "", "m", "ft", None, 1, ["in"]])
def test_a_unit_that_is_none_is_refused(staff, unit):
    assert (422, "field_wrong", ["/readings/0/unit"]) == chest(staff, 36, unit).problem


@pytest.mark.parametrize(("dimension", "unit"), [("chest_girth", "kg"), ("body_mass", "in")])
def test_a_unit_of_another_kind_is_refused_with_the_right_ones(staff, dimension, unit):
    answer = staff.post("/v1/size-advice", {"readings": [reading(dimension, 80, unit)]})
    assert (422, "unit_unknown", ["/readings/0/unit"]) == answer.problem
    assert answer.body["errors"][0]["facts"]["allowed"]


def test_a_value_without_its_unit_is_refused(staff):
    answer = staff.post("/v1/size-advice", {"readings": [{"dimension": "stature", "value": 175}]})
    assert (422, "field_wrong", ["/readings/0/unit"]) == answer.problem


def test_a_wrong_repeat_is_pointed_at(staff):
    answer = staff.post("/v1/size-advice", {"readings": [SLIM[0] | {"repeats": [36, "36 3/0"]}]})
    assert (422, "quantity_unreadable", ["/readings/0/repeats/1"]) == answer.problem


def test_a_wrong_length_deep_in_a_sheet_is_pointed_at(staff):
    asked = sheet(hems=[{"pins": {"left": inches("30"), "right": inches("thirty")}}])
    assert (422, "quantity_unreadable", ["/hems/0/pins/right/value"]) == staff.post(
        "/v1/alteration-quotes", asked
    ).problem


def test_a_length_comes_out_in_four_ways(staff):
    estimate = staff.post("/v1/size-advice", {"readings": [reading("stature", 178, "cm")]}, query={"units": "cm"})
    stature = next(each for each in estimate.body["body"] if each["dimension"] == "stature")
    assert (178.0, "cm", 1780.0, "178.0 cm") == tuple(stature[part] for part in ("value", "unit", "mm", "text"))


@pytest.mark.parametrize(
    ("units", "said"),
    [("in", (36.22, "in", "36 1/4 in")), ("cm", (92.0, "cm", "92.0 cm")), (None, (92.0, "cm", "92.0 cm"))],
)
def test_the_caller_chooses_the_unit_and_else_it_is_his_own(staff, units, said):
    recorded = staff.post("/v1/measurement-sets", {"readings": [reading("chest_girth", 92, "cm")]})
    query = {"units": units} if units else None
    size = staff.get(f"/v1/measurement-sets/{recorded.body['id']}", query=query).body["readings"][0]["size"]
    assert said == (size["value"], size["unit"], size["text"])
    assert 920.0 == size["mm"]


@pytest.mark.parametrize("units", ["mm", "IN", "", "kg", "in,cm"])
def test_another_unit_of_answers_is_refused(staff, units):
    assert (422, "field_wrong", ["/units"]) == staff.get("/v1/charts", query={"units": units}).problem


def test_a_mass_comes_out_in_its_own_unit(staff):
    answer = staff.post("/v1/measurement-sets", {"readings": [reading("body_mass", "12 1/2", "st")]})
    assert {"value": 12.5, "unit": "st", "kg": 79.38, "text": "12 st 7 lb"} == answer.body["readings"][0]["size"]


PLAIN = {"dimension": "chest_girth", "value": "38 1/4", "unit": "in", "source": "self_measured", "repeats": [38, "38½"]}


@pytest.mark.parametrize("name", PLAIN)
@pytest.mark.parametrize(
    "value",
    [
        None,
        True,
        38,
        38.25,
        -1,
        "",
        "38",
        "38,5",
        "mm",
        "kg",
        "label",
        "measured",
        "stature",
        "w" * 17,
        [],
        [38] * 10,
        {},
    ],
    ids=named,
)
def test_a_reading_that_is_read_straight_is_read_as_its_schema_does(name, value):
    said = PLAIN | {name: value}
    try:
        by_schema = marshmallow.Schema.load(ReadingSchema(), said)
    except marshmallow.ValidationError:
        by_schema = None
    assert by_schema == plain_reading(said)


@pytest.mark.parametrize("name", PLAIN)
def test_a_reading_with_a_field_left_out_or_one_too_many_is_read_as_its_schema_does(name):
    less = {other: said for other, said in PLAIN.items() if other != name}
    if name in ("source", "repeats"):
        assert marshmallow.Schema.load(ReadingSchema(), less) == plain_reading(less)
    else:
        assert plain_reading(less) is None
    assert plain_reading(PLAIN | {f"{name}s": 1}) is None


@pytest.mark.parametrize("wrong", [{"value": -1}, {"repeats": ["x"]}, {"source": "label"}])
def test_a_fault_that_is_kept_holds_nothing_of_where_it_was_found(wrong):
    with pytest.raises(marshmallow.ValidationError) as found:
        ReadingSchema().load(reading("stature", 178, "cm") | wrong)
    faults = [fault for fault in leaves(found.value.messages) if isinstance(fault, Refusal)]
    assert faults
    assert [] == [fault for fault in faults if fault.__traceback__ or fault.__context__ or fault.__cause__]


def leaves(messages):
    """What a schema says of each fault, wherever it is."""
    for each in messages.values() if isinstance(messages, dict) else messages:
        yield from leaves(each) if isinstance(each, dict | list) else [each]
