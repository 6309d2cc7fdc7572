from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.http.wire.arrivals import FRAMED_AS_MUCH, HEAD_MOST_BYTES, Arrival

MOST = 1000
LONG = 5000


def body_most(address):
    return LONG if address == b"/long" else MOST


def head(*lines, address=b"/some"):
    return b"\r\n".join([b"POST " + address + b" HTTP/1.1", b"Host: a", *lines, b"", b""])


def in_chunks(*parts, trailers=b""):
    return b"".join(b"%X\r\n%s\r\n" % (len(part), part) for part in parts) + b"0\r\n" + trailers + b"\r\n"


def arrival(*pieces):
    found = Arrival(body_most)
    for piece in pieces:
        found.feed(piece)
    return found


PARTS = st.lists(st.binary(min_size=1, max_size=60), max_size=6)
REQUESTS = st.one_of(
    st.just(head()),
    st.binary(max_size=300).map(lambda body: head(b"content-LENGTH:  %d " % len(body)) + body),
    PARTS.map(lambda parts: head(b"Transfer-Encoding: Chunked") + in_chunks(*parts)),
    PARTS.map(lambda parts: head(b"Transfer-Encoding: chunked") + in_chunks(*parts, trailers=b"Sum: 1\r\n")),
)


@given(request=REQUESTS, cuts=st.lists(st.integers(0, 10_000), max_size=8))
def test_however_it_is_cut_it_is_whole_with_its_last_byte_and_not_before(request, cuts):
    places = sorted({0, *(cut % len(request) for cut in cuts), len(request) - 1})
    pieces = [request[since:until] for since, until in pairwise(places)]
    found = arrival(*pieces)
    assert not found.whole
    found.feed(request[-1:])
    assert found.whole
    assert request == found.received


@given(request=REQUESTS, cut=st.integers(0, 10_000))
def test_where_the_caller_hangs_up_nothing_more_is_waited_for(request, cut):
    assert arrival(request[: cut % len(request)], b"").whole


@pytest.mark.parametrize(
    "lines",
    [
        [b"Content-Length: 9", b"Content-Length: 8"],
        [b"Content-Length: 9", b"Transfer-Encoding: chunked"],
        [b"Content-Length: +9"],
        [b"Content-Length: 9, 9"],
        [b"Transfer-Encoding: gzip, chunked"],
        [b"Transfer-Encoding: chunked", b"Transfer-Encoding: chunked"],
    ],
)
def test_a_length_that_is_not_plain_is_the_parsers_to_refuse_at_once(lines):
    assert arrival(head(*lines)).whole


@pytest.mark.parametrize("chunks", [b"zz\r\n", b"-1\r\n", b"\r\n", b"1" * 300, b"3\r\nabc\r\n" + b"x" * 300])
def test_so_are_chunks_that_are_none(chunks):
    assert arrival(head(b"Transfer-Encoding: chunked"), chunks).whole


def test_a_body_that_says_that_it_is_too_long_is_not_waited_for():
    assert arrival(head(b"Content-Length: %d" % (MOST + 1))).whole
    assert not arrival(head(b"Content-Length: %d" % MOST)).whole
    assert not arrival(head(b"Content-Length: %d" % LONG, address=b"/long?units=in")).whole


@pytest.mark.parametrize("line", [b"fffffffff", b"%x" % (2 * MOST)])
def test_chunks_are_waited_for_till_they_are_too_long(line):
    found = arrival(head(b"Transfer-Encoding: chunked"), line + b"\r\n" + b"x" * (MOST - 1))
    assert not found.whole
    found.feed(b"x")
    assert found.whole


def test_chunks_of_a_byte_each_are_waited_for_and_no_longer_framed_ones():
    request = head(b"Transfer-Encoding: chunked")
    assert not arrival(request, b"1\r\nx\r\n" * (MOST - 1)).whole
    padded = b"1;%s\r\nx\r\n" % (b"a" * 60)
    assert arrival(request, padded * (FRAMED_AS_MUCH * MOST // len(padded) + 1)).whole


def test_a_head_that_does_not_end_is_not_waited_for_for_ever():
    line = b"GET / HTTP/1.1\r\nX: "
    assert not arrival(line).whole
    assert arrival(line, b"a" * HEAD_MOST_BYTES).whole


def test_whoever_waits_to_be_asked_for_the_body_is_told_of_once():
    asks = head(b"Content-Length: 2", b"Expect: 100-Continue")
    assert arrival(asks).waits_for_go_ahead
    assert not arrival(asks + b"{}").waits_for_go_ahead
    assert not arrival(head(b"Content-Length: %d" % (MOST + 1), b"Expect: 100-continue")).waits_for_go_ahead
