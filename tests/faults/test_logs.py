"""What the service says to its operator while a customer is measured, advised, ordered for and collected for."""

import http.client
import re
from contextlib import closing

import orjson
import pytest

from service.use_cases.shop.keys import SCOPES, give_key
from tests.databases import one_quickly
from tests.faults.under_gunicorn import served
from tests.http.sheets import WORN, order, reading
from tests.waiting import PATIENCE_SECONDS

# Values that stand nowhere else, in every way in which they may be written.
READINGS = [reading("chest_girth", "39 7/8"), reading("waist_girth", 33.625), reading("stature", 181.3, "cm")]
SECRETS = ("39 7/8", "39.875", "1012.8", "33.625", "33 5/8", "854.0", "181.3", "1813", "soft shoulder")
CUSTOMER, SALE = "C-of-the-log", "S-of-the-log"


def day_of_work(port, key):
    """The whole day, with refusals and a fault of the caller among it; the ids and tokens that were given out."""

    def ask(method, path, document=None, **headers):
        sent = {"Authorization": f"Bearer {key}", "Content-Type": "application/json", **headers}
        with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_SECONDS)) as wire:
            wire.request(method, path, orjson.dumps(document) if document is not None else None, sent)
            answer = wire.getresponse()
            return answer.status, answer.read()

    def made(path, document, number):
        status, body = ask("POST", path, document, **{"Idempotency-Key": f"key-of-the-log-{number}"})
        assert 201 == status, body
        return orjson.loads(body)

    asked = {"readings": READINGS, "customer_ref": CUSTOMER, "note": "likes a soft shoulder"}
    his_set = made("/v1/measurement-sets", asked, 1)["id"]
    check = made("/v1/fit-checks", {**WORN, "readings": [], "measurement_set": his_set}, 2)["id"]
    filed = made("/v1/orders", order(customer_ref=CUSTOMER, sale_ref=SALE), 3)
    slip = filed["collection_slip"]
    expected = [
        (200, "POST", "/v1/size-advice", {"readings": READINGS}),
        (200, "GET", f"/v1/measurement-sets/{his_set}", None),
        (200, "GET", f"/v1/customers/{CUSTOMER}/measurement-sets", None),
        (200, "GET", f"/v1/fit-checks/{check}", None),
        (200, "GET", f"/v1/orders?customer_ref={CUSTOMER}", None),
        (200, "GET", slip["path"], None),
        (422, "POST", "/v1/size-advice", {"readings": [reading("chest_girth", "39 7/8 in")]}),
        (422, "POST", "/v1/measurement-sets", {"readings": READINGS, "customer_ref": CUSTOMER, "hat": 1}),
        # A reference may have slashes: this is another customer, and there is nothing to read of one.
        (405, "GET", f"/v1/customers/{CUSTOMER}/nothing", None),
        (200, "GET", f"/v1/customers/{CUSTOMER}/export", None),
        (200, "DELETE", f"/v1/customers/{CUSTOMER}", None),
    ]
    assert [status for status, *_ in expected] == [ask(*question)[0] for _, *question in expected]
    return [his_set, check, filed["id"], slip["token"], "key-of-the-log"]


def is_in(secret, said):
    """Whether the log has it; digits alone as a whole number, for a process's number or an id may hold any."""
    return re.search(rf"(?<!\w){secret}(?!\w)", said) if secret.isdigit() else secret in said


@one_quickly()
@pytest.mark.parametrize("words", [(), ("--access-logfile", "-")], ids=["as it is", "with an access log"])
def test_neither_readings_nor_references_nor_keys_get_into_the_log(house, shop, tmp_path, words):
    key = give_key(house.context, shop.id, "staff", frozenset(SCOPES))
    with served(tmp_path, house.url, *words) as running:
        given_out = day_of_work(running.port, key)
    said = running.said
    secrets = (*SECRETS, CUSTOMER, SALE, key, key.partition(".")[2], *given_out)
    assert [] == [secret for secret in secrets if is_in(secret, said)]
    # It would prove nothing if the log were empty: it has a line for each of the fourteen requests.
    assert 14 == said.count('"event": "answered"')
    assert "Listening at" in said
