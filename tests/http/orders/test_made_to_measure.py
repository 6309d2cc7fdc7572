"""The hand-over to a maker to measure over HTTP: every format by Accept, of what is known and of what was seen."""

import io

import pypdf
import pytest

from tests.http.sheets import reading
from tests.papers.printer import printed_by

KINDS = ["text/plain", "application/pdf", "image/svg+xml", "application/octet-stream", "application/json"]
# A waist of ten inches over the coat's drop: no size of the reference block closes over it.
STOUT = {
    "readings": [
        reading("chest_girth", 44),
        reading("natural_waist_girth", 48),
        reading("hip_girth", 45),
        reading("stature", 175, "cm"),
        reading("body_mass", 105, "kg"),
    ],
    "age_years": 45,
    "posture": [{"note": "low_shoulder", "amount": {"value": "1/4", "unit": "in"}, "side": "right"}],
    "garments": ["jacket"],
    "charts": ["reference"],
    "customer_ref": "C-44",
    "note": "Cloth 7, no vents.",
}
PATH = "/v1/made-to-measure-sheets"


def sheet(client, accept, **more):
    return client.ask("POST", PATH, STOUT | more, headers={"Accept": accept})


@pytest.mark.parametrize("accept", KINDS)
def test_the_sheet_is_served_in_every_format(staff, accept):
    answer = sheet(staff, accept)
    assert (200, accept, "Accept") == (
        answer.status,
        answer.headers["Content-Type"].split(";")[0],
        answer.headers["Vary"],
    )


def test_it_says_what_was_read_what_is_to_be_taped_how_he_stands_and_what_stays_wrong(staff):
    said = sheet(staff, "application/json").body
    assert ("no", "C-44", "45 years", "Cloth 7, no vents.") == (
        said["serves"], said["customer_ref"], said["age"], said["note"],
    )  # fmt: skip
    chest = {"of": "chest under the arms at its fullest", "size": "44 in / 1118 mm", "how": "taped"}
    assert chest == said["readings"][0]
    assert "105.0 kg" in [each["size"] for each in said["readings"]]
    assert "across the back between the rear arm folds" in said["to_take"]
    assert "waist at its narrowest" not in said["to_take"]
    (posture,) = said["posture"]
    assert "right: 1/4 in / 6 mm" in posture
    (wrong,) = [each for each in said["wrong"] if each.startswith("jacket, waist")]
    assert "too little by" in wrong
    assert any(line.startswith("jacket") and "of reference" in line for line in said["nearest"])


def test_every_format_says_the_same(staff):
    said = sheet(staff, "application/json").body
    text = " ".join(sheet(staff, "text/plain").body.split())
    pages = pypdf.PdfReader(io.BytesIO(sheet(staff, "application/pdf").raw)).pages
    page = " ".join(" ".join(each.extract_text() for each in pages).split())
    rows = printed_by(sheet(staff, "application/octet-stream").raw).rows
    receipt = " ".join(" ".join(words for words, _ in rows).split())
    for words in (text, page, receipt):
        assert "C-44" in words
        for each in (*said["to_take"], *said["posture"]):
            assert each.split(",")[0].split(":")[0] in words
        assert "Cloth 7, no vents." in words


def test_what_was_seen_on_the_worn_suit_is_printed(staff):
    check = {
        "worn": {"jacket": {"chart": "reference", "label": "44R"}},
        "readings": STOUT["readings"],
        "observations": [
            {"point": "front_closure", "seen": "pulls"},
            {"point": "jacket_cuff", "spare": {"value": "3/4", "unit": "in"}, "side": "left"},
        ],
    }
    made = staff.post("/v1/fit-checks", check).body
    seen = sheet(staff, "application/json", fit_check=made["id"]).body["seen"]
    assert "worn: jacket 44R of reference" == seen[0]
    assert any("front at the fastening button: too little" in line for line in seen)
    assert any("left: too much, +3/4 in / +19 mm" in line for line in seen)


def test_a_fit_check_that_there_is_not_is_refused(staff):
    answer = sheet(staff, "text/plain", fit_check="00000000-0000-4000-8000-000000000000")
    assert (422, "fit_check_unknown") == answer.problem[:2]


def test_with_nothing_known_all_is_to_be_taped(staff):
    said = staff.ask("POST", PATH, {}, headers={"Accept": "application/json"}).body
    assert [] == said["readings"]
    assert {"chest under the arms at its fullest", "waist where the trousers are worn"} <= set(said["to_take"])
