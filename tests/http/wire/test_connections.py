"""The loop that waits for all callers, with callers at the other end of pairs of sockets."""

import socket
import time
from contextlib import ExitStack, suppress
from functools import partial

import pytest

from service.http.wire import connections as limits
from service.http.wire.arrivals import Arrival
from service.http.wire.caller import WAITING_MOST_BYTES, Caller, KeptBack
from service.http.wire.connections import Connections
from tests.waiting import PATIENCE_SECONDS

WHOLE = b"GET / HTTP/1.1\r\n\r\n"
NEVER = 600.0


def told(words, caller):
    with suppress(OSError):  # as the worker: who has gone is told nothing
        caller.sendall(words)


class Served:
    """A loop that answers `answer` and refuses with "refused", and who is connected to it."""

    def __init__(self, stack, read_seconds=NEVER, most=100, answer=b"answered"):
        self._stack = stack
        self.loop = Connections(
            answer if callable(answer) else partial(told, answer), partial(told, b"refused"), read_seconds, most
        )

    def caller(self, sends=b"", body_most=1000):
        """Somebody who sends so much at once."""
        ours, theirs = socket.socketpair()
        self._stack.enter_context(ours)
        theirs.settimeout(PATIENCE_SECONDS)
        self._stack.enter_context(theirs)
        theirs.sendall(sends)
        self.loop.welcome(Caller(ours, None, Arrival(lambda _address: body_most)))
        return theirs

    def until(self, done):
        for _ in range(20_000):
            if done():
                return
            self.loop.turn(0.01)
        raise AssertionError("it never was")


@pytest.fixture
def stack():
    with ExitStack() as opened:
        yield opened


@pytest.fixture
def served(stack):
    return Served(stack)


def heard(caller):
    """Everything till the end."""
    found = b""
    while piece := caller.recv(65536):
        found += piece
    return found


def waits(caller):
    """Whether the caller has heard nothing yet, and is connected."""
    caller.settimeout(0)
    try:
        caller.recv(1, socket.MSG_PEEK)
    except BlockingIOError:
        return True
    finally:
        caller.settimeout(PATIENCE_SECONDS)
    return False


def test_who_has_sent_all_is_answered_at_once_whoever_else_has_not(served):
    others = [served.caller(sends) for sends in (b"", b"GET", b"POST / HTTP/1.1\r\nContent-Length: 9\r\n\r\n{")]
    assert b"answered" == heard(served.caller(WHOLE))
    assert all(waits(each) for each in others)


def test_who_sends_the_rest_later_is_answered_then(served):
    caller = served.caller(WHOLE[:5])
    served.loop.turn(0)
    caller.sendall(WHOLE[5:])
    served.until(lambda: not waits(caller))
    assert b"answered" == heard(caller)


def test_who_takes_too_long_is_refused(stack):
    served = Served(stack, read_seconds=0.0)
    caller = served.caller(b"GET")
    served.until(lambda: not waits(caller))
    assert b"refused" == heard(caller)


def test_where_there_are_too_many_the_oldest_goes_and_the_newest_is_answered(stack):
    served = Served(stack, most=3)
    first, *others = [served.caller() for _ in range(3)]
    assert b"answered" == heard(served.caller(WHOLE))
    assert b"refused" == heard(first)
    assert all(waits(each) for each in others)


def test_where_they_hold_too_much_who_holds_most_goes(served):
    long = b"POST / HTTP/1.1\r\nContent-Length: %d\r\n\r\n" % (2 * limits.HELD_MOST_BYTES)
    greedy, modest = (served.caller(long, 4 * limits.HELD_MOST_BYTES) for _ in range(2))
    modest.sendall(b"{")
    while waits(greedy):
        greedy.settimeout(0)
        try:
            greedy.send(b"x" * 65536)
        except BlockingIOError:
            served.loop.turn(0)
    assert waits(modest)


def test_an_answer_that_nobody_reads_is_kept_while_others_are_answered(stack):
    answer = b"a" * (WAITING_MOST_BYTES // 2)
    served = Served(stack, answer=answer)
    callers = [served.caller(WHOLE) for _ in range(4)]
    found = [b""] * 4
    for at, caller in enumerate(callers):
        caller.settimeout(0)

        def read(at=at, caller=caller):
            try:
                piece = caller.recv(65536)
            except BlockingIOError:
                return False
            found[at] += piece
            return not piece

        served.until(read)
    assert [answer] * 4 == found


def test_who_hangs_up_is_forgotten(served):
    for sends in (b"", b"GET", WHOLE):
        served.caller(sends).close()
        served.until(lambda: len(served.loop) == 0)


def test_who_does_not_hang_up_after_the_answer_holds_nobody_up_and_is_let_go_of(served):
    stays = served.caller(WHOLE)
    assert b"answered" == heard(stays)
    assert 1 == len(served.loop)
    assert b"answered" == heard(served.caller(WHOLE))
    served.until(lambda: len(served.loop) == 0)


def test_who_sends_on_after_the_answer_is_let_go_of(served):
    talks = served.caller(WHOLE)
    talks.settimeout(0)
    with pytest.raises((BrokenPipeError, ConnectionResetError)):  # noqa: PT012  how much it takes is the machine's
        for _ in range(100_000):
            try:
                talks.send(b"x" * 65536)
            except BlockingIOError:
                served.loop.turn(0)


def test_a_body_is_asked_for_where_the_caller_waits_for_that(served):
    caller = served.caller(b"POST / HTTP/1.1\r\nContent-Length: 2\r\nExpect: 100-continue\r\n\r\n")
    assert b"HTTP/1.1 100 Continue\r\n\r\n" == caller.recv(100)
    caller.sendall(b"{}")
    served.until(lambda: not waits(caller))
    assert b"answered" == heard(caller)


def test_who_has_sent_nothing_is_let_go_of_when_the_server_ends_and_who_has_is_answered(served):
    idle, busy = served.caller(), served.caller(WHOLE[:5])
    served.loop.dismiss_idle()
    assert b"" == heard(idle)
    busy.sendall(WHOLE[5:])
    served.until(lambda: not waits(busy))
    assert b"answered" == heard(busy)


class Newsroom:
    """Answers that may wait until there is news, or for so long."""

    def __init__(self, seconds=NEVER):
        self.news, self.made, self._seconds = [], 0, seconds

    def __call__(self, caller):
        self.made += 1
        if not self.news:
            caller.kept_back = KeptBack(time.monotonic() + self._seconds, lambda: bool(self.news))
        told(b"news" if self.news else b"none", caller)


def test_an_answer_that_may_wait_is_made_anew_when_there_is_another_and_others_are_answered_meanwhile(stack):
    newsroom = Newsroom()
    served = Served(stack, answer=newsroom)
    patient = [served.caller(WHOLE) for _ in range(5)]
    served.loop.turn(limits.LOOK_SECONDS)
    slow = served.caller(WHOLE[:5])
    served.loop.turn(0)
    assert all(waits(each) for each in [*patient, slow])
    newsroom.news.append("an order moved")
    slow.sendall(WHOLE[5:])
    served.until(lambda: not any(waits(each) for each in [*patient, slow]))
    assert [b"news"] * 6 == [heard(each) for each in [*patient, slow]]
    assert 11 == newsroom.made


def test_an_answer_that_waited_in_vain_goes_out_as_it_was_made(stack):
    newsroom = Newsroom(seconds=0)
    served = Served(stack, answer=newsroom)
    caller = served.caller(WHOLE)
    assert waits(caller)
    served.until(lambda: not waits(caller))
    assert (b"none", 1) == (heard(caller), newsroom.made)


def test_who_hangs_up_while_their_answer_waits_is_forgotten(stack):
    served = Served(stack, answer=Newsroom())
    served.caller(WHOLE).close()
    assert 1 == len(served.loop)
    served.until(lambda: not len(served.loop))


def test_no_more_wait_than_may_and_when_the_server_ends_none_does(stack):
    served = Served(stack, most=2 * limits.KEPT_BACK_MOST, answer=Newsroom())
    patient = [served.caller(WHOLE) for _ in range(limits.KEPT_BACK_MOST)]
    assert b"none" == heard(served.caller(WHOLE))
    assert all(waits(each) for each in patient)
    served.loop.dismiss_idle()
    assert [b"none"] * len(patient) == [heard(each) for each in patient]


def test_who_waits_for_news_makes_room_for_who_is_new(stack):
    served = Served(stack, most=2, answer=Newsroom())
    first, _ = (served.caller(WHOLE) for _ in range(2))
    assert waits(served.caller(WHOLE[:5]))
    assert b"none" == heard(first)
