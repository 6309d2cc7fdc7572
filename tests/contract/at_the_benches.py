"""The part of the made-up day at the benches: tailors are kept, given work, and begin, pause and end it."""

from tests.http.sheets import HEMMED, JACKET, JACKET_WAIST_IN, WAIST_IN

SUIT = {"garments": [HEMMED, JACKET], "lines": [WAIST_IN, JACKET_WAIST_IN], "by": "fitter-1"}


def worked(staff):
    made = staff.post("/v1/orders", SUIT, key="order-at-the-benches").body
    path = f"/v1/orders/{made['id']}"
    staff.example("put_tailor", "/v1/tailors/tailor-1")
    staff.get("/v1/tailors")
    staff.get("/v1/tailors/tailor-1")
    jackets = {"tailor": "tailor-1", "by": "fitter-1", "lines": [2]}
    assert 422 == staff.post(f"{path}/assignments", jackets, headers=staff.version(path)).status
    staff.post(f"{path}/assignments", {**jackets, "lines": [1]}, headers=staff.version(path))
    begin = {"do": "begin", "ticket": made["number"], "number": 1}
    assert 422 == staff.post("/v1/tailors/tailor-1/work", begin | {"ticket": "99"}).status
    assert 409 == staff.post("/v1/tailors/tailor-1/work", begin).status
    for state in ("accepted", "in_workroom"):
        staff.post(f"{path}/moves", {"to": state, "by": "fitter-1"}, headers=staff.version(path))
    assert 200 == staff.post("/v1/tailors/tailor-1/work", begin).status
    assert 409 == staff.ask("DELETE", "/v1/tailors/tailor-1").status
    staff.post("/v1/tailors/tailor-1/work", {"do": "end"})
    staff.ask("DELETE", "/v1/tailors/tailor-1")
