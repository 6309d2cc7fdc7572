"""Shapes that exist on the wire only, sent as raw bytes to the service as gunicorn serves it.

Each gets one answer, a problem document, and the connection ends: what comes after a doubtful request is never taken
for another one.
"""

import re
import socket
import time
from contextlib import closing
from pathlib import Path

import orjson
import pytest

from service.http.api import BODY_MOST_BYTES
from service.http.guards import GUARDS
from service.tailoring.work.prices import PriceList
from service.use_cases.shop.keys import SCOPES, give_key
from service.use_cases.shop.shops import open_shop
from tests.days import Clock
from tests.faults.under_gunicorn import served
from tests.faults.wire import BODY, answered, asked, head, sized
from tests.shops import UNHURRIED_SETTINGS, new_desk
from tests.waiting import PATIENCE_SECONDS

SECOND = b"GET /v1/charts HTTP/1.1\r\nHost: a\r\n\r\n"
READ_SECONDS = 2
# As many as take five minutes: on the busiest machine somebody is cut off before.
DROPS_MOST = 1000


@pytest.fixture(scope="module")
def service(tmp_path_factory, sqlite_url):
    """Where it listens, its log, and a key for everything.

    On one database: what is asked here is answered before any is.
    """
    folder = tmp_path_factory.mktemp("served")
    context = new_desk(sqlite_url, Clock())
    shop = open_shop(context, "Corner Tailors", "Europe/Dublin", PriceList())
    key = give_key(context, shop, "staff", frozenset(SCOPES))
    context.database.close()
    with served(folder, sqlite_url, FITTING_READ_SECONDS=str(READ_SECONDS), **UNHURRIED_SETTINGS) as running:
        yield running, key.encode()


@pytest.fixture
def worker(service):
    """The number of the one process that answers."""
    return int(re.findall(r"Booting worker with pid: ([0-9]+)", service[0].said)[-1])


def cpu_seconds(process):
    """What a process has worked so far; waiting for its turn does not count."""
    return int(Path(f"/proc/{process}/schedstat").read_text("ascii").split()[0]) / 1e9


def chunked(body, *lines):
    return lambda key: head(key, b"Transfer-Encoding: chunked", *lines) + body


CHUNK = b"%x\r\n%s\r\n0\r\n\r\n" % (len(BODY), BODY)
WIRE = {
    # Two ways to read where the request ends: what smuggling lives on.
    "a length and chunks": lambda key: head(key, b"Content-Length: 6", b"Transfer-Encoding: chunked") + b"0\r\n\r\nX",
    "chunks and a length": lambda key: head(key, b"Transfer-Encoding: chunked", b"Content-Length: 6") + CHUNK,
    "two lengths": lambda key: head(key, b"Content-Length: 5", b"Content-Length: 68") + BODY,
    "two equal lengths in one line": lambda key: head(key, b"Content-Length: 68, 68") + BODY,
    "a signed length": lambda key: head(key, b"Content-Length: +68") + BODY,
    "a negative length": lambda key: head(key, b"Content-Length: -1") + BODY,
    "a length in hexadecimal": lambda key: head(key, b"Content-Length: 0x44") + BODY,
    "a length with a blank in it": lambda key: head(key, b"Content-Length: 6 8") + BODY,
    "chunks twice": lambda key: head(key, b"Transfer-Encoding: chunked, chunked") + CHUNK,
    "chunks that are not the last coding": lambda key: head(key, b"Transfer-Encoding: chunked, identity") + CHUNK,
    "a coding that nobody knows": lambda key: head(key, b"Transfer-Encoding: xchunked") + CHUNK,
    "chunks behind a vertical tab": lambda key: head(key, b"Transfer-Encoding:\x0bchunked") + CHUNK,
    "a blank before the colon": lambda key: head(key, b"Content-Length : 68") + BODY,
    "a blank before the colon of chunks": lambda key: head(key, b"Transfer-Encoding : chunked") + CHUNK,
    "a header over two lines": lambda key: head(key, b"Content-Length: 68", b"X-Note: a\r\n b") + BODY,
    "a header without a name": lambda key: head(key, b"Content-Length: 68", b": b") + BODY,
    "a header without a colon": lambda key: head(key, b"Content-Length: 68", b"nothing") + BODY,
    "a null in a header": lambda key: head(key, b"Content-Length: 68", b"X-Note: a\x00b") + BODY,
    "a null in a header's name": lambda key: head(key, b"Content-Length: 68", b"X\x00Note: a") + BODY,
    "a carriage return in a header": lambda key: head(key, b"Content-Length: 68", b"X: a\rContent-Length: 0") + BODY,
    "a chunk of negative size": chunked(b"-1\r\n" + BODY + b"\r\n0\r\n\r\n"),
    "a chunk whose size is no number": chunked(b"zz\r\n" + BODY + b"\r\n0\r\n\r\n"),
    "a chunk with a blank size": chunked(b"\r\n" + BODY + b"\r\n0\r\n\r\n"),
    "a chunk that does not end": chunked(b"5\r\n" + BODY + b"\r\n0\r\n\r\n"),
    # Lines that no request begins with.
    "no method": b" /v1/charts HTTP/1.1\r\nHost: a\r\n\r\n",
    "a method with a blank": b"GE T /v1/charts HTTP/1.1\r\nHost: a\r\n\r\n",
    "a method of signs": b"G<>T /v1/charts HTTP/1.1\r\nHost: a\r\n\r\n",
    "a version that is none": b"GET /v1/charts HTTP/9.9\r\nHost: a\r\n\r\n",
    "a version of another protocol": b"GET /v1/charts RTSP/1.0\r\nHost: a\r\n\r\n",
    "no version": b"GET /v1/charts\r\nHost: a\r\n\r\n",
    "the preface of HTTP/2": b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
    "the hello of TLS": b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03" + b"\x00" * 64 + b"\r\n\r\n",
    "noise": bytes(range(256)) + b"\r\n\r\n",
}  # fmt: skip


def test_a_request_without_fault_is_answered(service):
    for request in (sized(BODY), chunked(CHUNK), chunked(CHUNK, b"Expect: 100-continue")):
        raw = asked(service, request).removeprefix(b"HTTP/1.1 100 Continue\r\n\r\n")
        status, _, document = answered(raw)
        assert (200, True) == (status, bool(document["plans"]))


@pytest.mark.parametrize("shape", WIRE)
def test_what_can_be_read_in_two_ways_is_refused_and_nothing_after_it_is_read(service, shape):
    request = WIRE[shape]
    raw = asked(service, lambda key: (request(key) if callable(request) else request) + SECOND)
    assert 1 == raw.count(b"HTTP/1.1 "), raw
    status, headers, document = answered(raw)
    assert (400, "request_wrong", 400) == (status, document["code"], document["status"])
    assert ("application/problem+json", "close") == (headers["content-type"], headers["connection"])
    assert [] == [name for name, value in GUARDS.items() if headers.get(name.lower()) != value]


@pytest.mark.parametrize(
    ("request_", "status", "code"),
    [
        (lambda key: head(key, first=b"GET /v1/charts?x=" + b"a" * 5000 + b" HTTP/1.1"), 414, "address_too_long"),
        (lambda key: head(key, b"X-Note: " + b"a" * 9000), 431, "headers_too_large"),
        (lambda key: head(key, *(b"X-Note-%d: a" % i for i in range(60))), 431, "headers_too_large"),
        (sized(b" " * 300_000 + BODY), 413, "too_large"),
        (chunked(b"fffffffff\r\n" + b" " * 300_000), 413, "too_large"),
        (chunked(b"7d000\r\n" + b" " * 512_000 + b"\r\n0\r\n\r\n"), 413, "too_large"),
    ],
    ids=["address", "header", "headers", "body", "endless chunk", "chunk"],
)
def test_what_is_too_large_is_refused_with_what_would_not_be(service, request_, status, code):
    found, _, document = answered(asked(service, request_))
    assert (status, code) == (found, document["code"])
    assert any(sign.isdigit() for sign in document["detail"])


@pytest.mark.parametrize(
    ("body", "lines", "status", "code"),
    [
        (BODY.decode().encode("utf-16"), [], 400, "json_unreadable"),
        (BODY.decode().encode("utf-32"), [], 400, "json_unreadable"),
        ('{"wish": "é"}'.encode("latin-1"), [], 400, "json_unreadable"),
        (b"\xef\xbb\xbf" + BODY, [], 400, "json_unreadable"),
        (b"\x1f\x8b\x08\x00" + BODY, [b"Content-Encoding: gzip"], 415, "body_encoded"),
        (b"\x00" * 68, [], 400, "json_unreadable"),
        (BODY.replace(b"stature", b"sta\\u0000ture"), [], 422, "field_wrong"),
        (BODY.replace(b"175", b"1" * 5000), [], 422, "quantity_unreadable"),
        (BODY.replace(b"175", b"1e999"), [], 422, "quantity_unreadable"),
        (BODY.replace(b"175", b'"' + b"9" * 60_000 + b'"'), [], 422, "field_wrong"),
        (BODY.replace(b'"unit"', b'"value": 1, "unit"'), [], 400, "json_unreadable"),
        (b"[" * 100_000, [], 400, "json_unreadable"),
        (b'{"a":' * 30 + b"1" + b"}" * 30, [], 400, "json_unreadable"),
    ],
    ids=[
        "UTF-16", "UTF-32", "Latin-1", "byte order mark", "gzip", "nulls", "null in text", "long number",
        "huge number", "long text", "a field twice", "deep and open", "deep",
    ],
)  # fmt: skip
def test_a_body_that_nobody_means_is_refused_where_it_is_wrong(service, body, lines, status, code):
    found, _, document = answered(asked(service, sized(body, *lines)))
    assert (status, code) == (found, document["code"])


FILL = {
    "digits": (b'{"wish": ', b"1", b"}"),
    "digits in text": (b'{"wish": "', b"1", b'"}'),
    "a number with a point": (b'{"wish": 1.', b"1", b"}"),
    "points": (b'{"wish": "', b"1.", b'"}'),
    "powers": (b'{"wish": "', b"1e1", b'"}'),
    "minuses": (b'{"wish": "', b"-", b'"}'),
    "quotes": (b'{"wish": "', b'\\"', b'"}'),
    "backslashes": (b'{"wish": "', b"\\\\", b'"}'),
    "an open text": (b'{"wish": "', b'\\"', b""),
    "brackets in text": (b'{"wish": "', b"[{", b'"}'),
    "blanks": (b"{", b" ", b"}"),
    "blanks before a value": (b'{"wish":', b" ", b"}"),
    "commas": (b'{"wish": [1', b",1", b"]}"),
    "open lists": (b"", b"[", b""),
    "fields": (b'{"a": 1', b',"a": 1', b"}"),
    "fractions": (b'{"readings": [{"dimension": "stature", "unit": "in", "value": "', b"1 1/2 ", b'"}]}'),
}


@pytest.mark.parametrize("fill", FILL)
def test_no_body_of_the_largest_size_keeps_a_worker_busy(service, worker, fill):
    before, middle, after = FILL[fill]
    body = before + middle * ((BODY_MOST_BYTES - 100) // len(middle)) + after
    answered(asked(service, sized(BODY)))
    at_first = cpu_seconds(worker)
    assert 200 == answered(asked(service, sized(BODY)))[0]
    asked_plainly = cpu_seconds(worker)
    assert answered(asked(service, sized(body)))[0] in (200, 400, 422)
    # Held against a plain question on the same machine. What is linear costs a few of them; what is not, thousands.
    assert cpu_seconds(worker) - asked_plainly < 40 * (asked_plainly - at_first)


@pytest.mark.parametrize(
    ("first", "status"),
    [
        (b"GET /v1/charts%00 HTTP/1.1", 404),
        (b"GET /v1/%2e%2e/v1/charts HTTP/1.1", 404),
        (b"GET /../../etc/passwd HTTP/1.1", 404),
        (b"GET /v1/charts/%ff%fe HTTP/1.1", 404),
        (b"GET /v1/charts?units=%00 HTTP/1.1", 422),
        (b"GET /v1/charts?units=in&units=cm HTTP/1.1", 422),
        (b"GET http://elsewhere.example/v1/nothing HTTP/1.1", 404),
        (b"CONNECT elsewhere.example:443 HTTP/1.1", 404),
        (b"TRACE /v1/charts HTTP/1.1", 405),
        (b"get /v1/charts HTTP/1.1", 400),
    ],
)
def test_an_address_that_nobody_means_is_no_address(service, first, status):
    found, _, _ = answered(asked(service, lambda key: head(key, first=first)))
    assert status == found


@pytest.mark.parametrize("line", [b"SCRIPT_NAME: /hidden", b"PATH_INFO: /metrics", b"Script-Name: /hidden"])
def test_no_header_moves_an_address(service, line):
    # A caller on loopback, as a proxy on the same machine would be.
    found, _, _ = answered(asked(service, lambda key: head(key, line, first=b"GET /hidden/metrics HTTP/1.1")))
    assert 404 == found


def test_a_body_that_ends_too_soon_is_no_body(service):
    running, key = service
    with closing(socket.create_connection(("127.0.0.1", running.port), timeout=PATIENCE_SECONDS)) as wire:
        wire.sendall(head(key, b"Content-Length: 680") + BODY)
        wire.shutdown(socket.SHUT_WR)
        status, _, document = answered(wire.makefile("rb").read())
    assert (400, "request_wrong") == (status, document["code"])


@pytest.mark.parametrize(
    ("start", "drops"),
    [
        (lambda key: b"", 0),
        (lambda key: b"GET /v1/cha", 0),
        (lambda key: b"GET /v1/charts HTTP/1.1\r\nHost: a\r\nX-Note: ", DROPS_MOST),
        (lambda key: head(key, b"Content-Length: 68"), 0),
        (lambda key: head(key, b"Content-Length: 68") + BODY[:10], DROPS_MOST),
        (lambda key: head(key, b"Transfer-Encoding: chunked"), DROPS_MOST),
    ],
    ids=["nothing", "half a line", "a header in drops", "no body", "a body in drops", "chunks in drops"],
)
def test_whoever_dribbles_is_told_that_it_took_too_long(service, start, drops):
    begun, left = time.monotonic(), iter([b"1"] * drops)
    status, _, document = answered(asked(service, start, slowly=left))
    assert (408, "too_slow") == (status, document["code"])
    assert READ_SECONDS - 0.1 <= time.monotonic() - begun
    # However many drops come, they do not buy more time: they are cut off long before the last.
    assert not drops or next(left, None)


def test_the_same_worker_served_them_all_and_its_log_says_nothing_of_them(service):
    running, key = service
    # One of each kind, whichever others came before.
    for bad in (
        lambda key: head(key, b"X-Note: a\x00b"),
        lambda key: head(key, first=b"GET /v1/charts?x=" + b"a" * 5000 + b" HTTP/1.1"),
        lambda key: b"GET /v1/cha",
    ):
        assert answered(asked(service, bad))[0] in {400, 408, 414}
    assert 200 == answered(asked(service, sized(BODY)))[0]
    assert 1 == running.said.count("Booting worker")
    refused = [orjson.loads(line) for line in running.said.splitlines() if '"refused on the wire"' in line]
    assert {"InvalidHeader", "SlowCaller", "LimitRequestLine"} <= {line["fault"][0] for line in refused}
    assert "Traceback" not in running.said
    for secret in (key.decode(), "X-Note", "/v1/charts", "stature"):
        assert secret not in running.said
