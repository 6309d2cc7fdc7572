"""When a request has arrived whole: the bytes that a caller has sent so far, and whether more belong to it.

Nothing is decided here but when to stop waiting. Whether it is a request at all, and where it ends, is the server's
own parser to say: what is not plain is handed to it as it is, and it finds no byte more than arrived.
"""

from __future__ import annotations

import re
from collections.abc import Callable

HEAD_END = b"\r\n\r\n"
# The rest of the head may be as long as its lines may be many; a till sends a dozen.
HEAD_MOST_BYTES = 64 * 1024
# A size in hexadecimal, and an extension that nobody sends.
CHUNK_LINE_MOST_BYTES = 256
# A byte a chunk takes six.
FRAMED_AS_MUCH = 6

_FRAMING = re.compile(
    rb"^(content-length|transfer-encoding)[ \t]*:[ \t]*([^\r\n]*?)[ \t]*\r?$", re.IGNORECASE | re.MULTILINE
)
_EXPECTS = re.compile(rb"^expect:[ \t]*100-continue[ \t]*\r?$", re.IGNORECASE | re.MULTILINE)
_LENGTH = re.compile(rb"[0-9]{1,18}")
_CHUNK = re.compile(rb"([0-9a-fA-F]{1,16})[ \t]*(?:;[^\r\n]*)?")


class Arrival:
    """What has come of one request. `body_most` gives the longest body in bytes that an address (no query) takes."""

    def __init__(self, body_most: Callable[[bytes], int]) -> None:
        self.received = bytearray()
        self.whole = False
        # A caller that sends its body only when it was asked to: true once, when the head is there and the body is not.
        self.waits_for_go_ahead = False
        self._body_most = body_most
        self._searched = 0
        self._more: Callable[[], bool] | None = None

    def feed(self, data: bytes) -> None:
        """Take what came; none means that nothing more will."""
        self.received += data
        if not data:
            self.whole = True
        elif self._more is not None:
            self.whole = not self._more()
        else:
            self._look_for_head()

    def _look_for_head(self) -> None:
        # Some clients send an empty line ahead of a request; the server's parser knows.
        end = self.received.find(HEAD_END, max(0, self._searched - len(HEAD_END)))
        self._searched = len(self.received)
        if end < 0:
            self.whole = len(self.received) > HEAD_MOST_BYTES
            return
        head = bytes(self.received[: end + 2])
        self._more = self._framed(head, end + len(HEAD_END))
        self.whole = not self._more()
        self.waits_for_go_ahead = not self.whole and _EXPECTS.search(head) is not None

    def _framed(self, head: bytes, begins: int) -> Callable[[], bool]:
        """What tells whether more of the body is still to come."""
        words = head.split(b"\r\n", 1)[0].split(b" ")
        most = self._body_most(words[1].partition(b"?")[0]) if len(words) > 1 else 0
        match [(name.lower(), value) for name, value in _FRAMING.findall(head)]:
            case [(b"content-length", value)] if _LENGTH.fullmatch(value):
                length = int(value)
                # Too long a one is refused for what it says, unread.
                return lambda: length <= most and len(self.received) < begins + length
            case [(b"transfer-encoding", value)] if value.lower() == b"chunked":
                return _Chunks(self.received, begins, most).go_on
            case _:
                return lambda: False


class _Chunks:
    """Walks over chunks as they arrive, each byte once, till there are `most` bytes in them."""

    def __init__(self, received: bytearray, begins: int, most: int) -> None:
        self._received = received
        self._begins = self._next = begins
        self._most = most
        self._passed = 0
        self._is_last = False

    def go_on(self) -> bool:
        """Whether there is more to come; false too where it is not plain what comes, or too much came."""
        while not self._is_last:
            end = self._received.find(b"\r\n", self._next, self._next + CHUNK_LINE_MOST_BYTES)
            if end < 0:
                return len(self._received) - self._next < CHUNK_LINE_MOST_BYTES
            line = _CHUNK.fullmatch(self._received[self._next : end])
            if line is None:
                return False
            length = int(line[1], 16)
            if length == 0:
                self._is_last = True
                self._next = end  # from here an empty line ends it, with or without trailers before
            else:
                here = len(self._received) - end - 2
                if here < length + 2:
                    return self._passed + here < self._most
                self._passed += length
                self._next = end + 2 + length + 2
            if self._passed >= self._most or self._next - self._begins > FRAMED_AS_MUCH * self._most:
                return False
        return self._received.find(HEAD_END, self._next) < 0 and len(self._received) - self._next <= HEAD_MOST_BYTES
