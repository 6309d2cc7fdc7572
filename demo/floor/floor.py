"""The floor's server: the pages, who is signed in, and the contract's operations with the shop's key and a `by`.

A browser gets no key. What it asks goes on to the service only where the contract has it, and whatever takes a `by`
carries the reference of whoever is signed in, whatever the page says. It adds nothing to what the service can do.
"""

# ruff: noqa: INP001  a module of the demo, beside its script

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, urlencode

import urllib3
from contract import Contract
from feed import Feed
from flask import Flask, Response, jsonify, request, send_from_directory
from staff import Door, Member, Staff, WaitFirst
from werkzeug.middleware.proxy_fix import ProxyFix

PAGE = Path(__file__).resolve().parent / "page"
COOKIE = "floor"
# In whose name the page shows that it works.
SHOWN_AS = "Floor-By"
PASSED_ON = ("Accept", "Content-Type", "If-Match", "If-None-Match", "Idempotency-Key")
PASSED_BACK = ("Content-Type", "ETag", "Link", "Location", "Retry-After", "Answer-Repeated")
BODY_MOST = 256 * 1024
LONGEST_ANSWER_SECONDS = 60.0
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
CHANGING = ("POST", "PUT", "PATCH", "DELETE")


@dataclass(frozen=True)
class Service:
    """Where the service is, and the shop's keys: `staff`, and `admin` (or nothing) for who may change prices."""

    base_url: str
    keys: dict[str, str]

    def key_of(self, member: Member) -> str:
        """The key with which a member's requests go on."""
        return (self.keys["admin"] if member.admin else "") or self.keys["staff"]


def problem(status: int, code: str, title: str, detail: str, **headers: str) -> Response:
    """A refusal of the floor's own, in the shape of the service's."""
    document = {"status": status, "code": code, "title": title, "detail": detail, "errors": []}
    answer = Response(json.dumps(document), status, headers, content_type="application/problem+json")
    answer.headers["Cache-Control"] = "no-store"
    return answer


class Floor:
    """What the floor answers. Nothing is asked of the service before a tablet is at the door."""

    def __init__(self, service: Service, staff: Staff, lock_seconds: float) -> None:
        self._service, self._lock_seconds = service, lock_seconds
        self._door = Door(staff, lock_seconds)
        self._pool = urllib3.PoolManager(maxsize=64, retries=False)
        self._contract = Contract(service.base_url, self._pool)
        self._feed = Feed(service.base_url, service.keys["staff"], self._pool)

    @property
    def _token(self) -> str | None:
        return request.cookies.get(COOKIE)

    def page(self) -> Response:
        return send_from_directory(PAGE, "index.html", max_age=0)

    def part_of_page(self, name: str) -> Response:
        answer = send_from_directory(PAGE, name)
        answer.headers["Cache-Control"] = "no-cache"
        return answer

    def door(self) -> Response:
        """Whom the sign-in screen shows, and who is signed in at this tablet."""
        self._contract.prepare()
        shown = _shown(self._door.who(self._token))
        return jsonify(staff=self._door.names, lock_seconds=self._lock_seconds, **shown)

    def sign_in(self) -> Response:
        asked = _object(request.get_data()) or {}
        who, code = (str(asked.get(each, ""))[:64] for each in ("who", "code"))
        try:
            found = self._door.sign_in(who, code, request.remote_addr or "")
        except WaitFirst as wait:
            seconds = str(int(wait.seconds) + 1)
            words = f"Too many wrong codes. Try again in {seconds} seconds."
            return problem(403, "wait_first", "Not yet.", words, **{"Retry-After": seconds})
        if found is None:
            return problem(401, "code_wrong", "That is not the code.", "Type your own code again.")
        self._door.lock(self._token)
        answer = jsonify(_shown(found[1]))
        answer.set_cookie(COOKIE, found[0], httponly=True, samesite="Strict", secure=request.is_secure)
        return answer

    def lock(self) -> Response:
        self._door.lock(self._token)
        answer = jsonify(_shown(None))
        answer.delete_cookie(COOKIE, httponly=True, samesite="Strict")
        return answer

    def here(self) -> Response:
        """Somebody touches the tablet: it stays open."""
        return jsonify(_shown(self._door.who(self._token, touched=True)))

    def feed(self) -> Response:
        """What happens in the shop, as server-sent events, for as long as the tablet is open."""
        token = self._token
        if self._door.who(token) is None:
            return locked()
        lines = self._feed.lines(lambda: self._door.who(token) is not None)
        return Response(lines, content_type="text/event-stream", headers={"X-Accel-Buffering": "no"})

    def pass_on(self, rest: str) -> Response:
        """An operation of the contract, with the shop's key and the `by` of whoever is signed in."""
        member = self._door.who(self._token, touched=request.method in CHANGING)
        # Another page of the same browser may have signed somebody else in: what this one shows is theirs no more.
        if member is None or request.headers.get(SHOWN_AS, member.who) != member.who:
            return locked()
        # As it was sent: a reference may have a slash in it, percent-encoded.
        sent = request.environ.get("RAW_URI") or request.environ.get("REQUEST_URI") or f"/v1/{rest}"
        path = sent.partition("?")[0]
        try:
            operation = self._contract.find(request.method, path)
        except (urllib3.exceptions.HTTPError, ValueError, KeyError):
            return line_down()
        if operation is None:
            return problem(404, "not_in_contract", "There is no such operation.", "The contract does not have it.")
        if operation.of_tailor and path.split("/")[3] != member.who:
            return problem(403, "another_tailor", "That is another's work.", "Sign in yourself to begin or end work.")
        body = request.get_data() or None
        if operation.by_in_query:
            sent = _signed(sent, member.who)
        if operation.by_in_body and body:
            asked = _object(body)
            if asked is None:
                return problem(400, "unreadable", "The request cannot be read.", "Send a JSON object.")
            body = json.dumps(asked | {"by": member.who}).encode()
        return self._answered(member, sent, body)

    def _answered(self, member: Member, sent: str, body: bytes | None) -> Response:
        headers = {name: request.headers[name] for name in PASSED_ON if name in request.headers}
        headers["Authorization"] = f"Bearer {self._service.key_of(member)}"
        address = f"{self._service.base_url}{sent}"
        try:
            answer = self._pool.request(
                request.method, address, body=body, headers=headers, timeout=LONGEST_ANSWER_SECONDS, redirect=False
            )
        except urllib3.exceptions.HTTPError:
            return line_down()
        if request.method in CHANGING and answer.status < 300:  # noqa: PLR2004
            self._feed.stir()
        back = {name: answer.headers[name] for name in PASSED_BACK if name in answer.headers}
        return Response(answer.data, answer.status, back | {"Cache-Control": "no-store"})


def floor_app(service: Service, staff: Staff, lock_seconds: float = 300.0, proxies: int = 0) -> Flask:
    """The application; address and scheme of a tablet are what the last of so many `proxies` of the shop's own says."""
    app = Flask(__name__, static_folder=None)
    app.wsgi_app = ProxyFix(app.wsgi_app, x_for=proxies, x_proto=proxies)  # type: ignore[method-assign]  # Flask's own way
    app.config["MAX_CONTENT_LENGTH"] = BODY_MOST
    floor = Floor(service, staff, lock_seconds)
    app.before_request(from_our_own_page)
    app.after_request(safely)
    app.register_error_handler(413, too_large)
    app.add_url_rule("/", view_func=floor.page)
    app.add_url_rule("/page/<path:name>", view_func=floor.part_of_page)
    app.add_url_rule("/floor/door", view_func=floor.door)
    app.add_url_rule("/floor/feed", view_func=floor.feed)
    for path, view in (("sign-in", floor.sign_in), ("lock", floor.lock), ("here", floor.here)):
        app.add_url_rule(f"/floor/{path}", view_func=view, methods=["POST"])
    app.add_url_rule("/v1/<path:rest>", view_func=floor.pass_on, methods=["GET", *CHANGING])
    return app


def from_our_own_page() -> Response | None:
    """A change is asked for by our own page only: the cookie alone could come along from another."""
    if request.method in CHANGING and request.headers.get("Origin") != request.host_url.rstrip("/"):
        return problem(403, "another_page", "Another page asked.", "Open the floor at its own address.")
    return None


def safely(answer: Response) -> Response:
    """Headers of every answer."""
    answer.headers["Content-Security-Policy"] = POLICY
    answer.headers["X-Content-Type-Options"] = "nosniff"
    answer.headers["Referrer-Policy"] = "no-referrer"
    answer.headers.setdefault("Cache-Control", "no-store")
    return answer


def _shown(member: Member | None) -> dict[str, Any]:
    if member is None:
        return {"who": None, "admin": False, "benches": []}
    return {"who": member.who, "admin": member.admin, "benches": list(member.benches)}


def _signed(sent: str, who: str) -> str:
    """An address with its query's `by`, whatever the page says."""
    path, _, query = sent.partition("?")
    said = [each for each in parse_qsl(query, keep_blank_values=True) if each[0] != "by"]
    return f"{path}?{urlencode([*said, ('by', who)])}"


def _object(body: bytes) -> dict[str, Any] | None:
    """A JSON object; None of anything else."""
    try:
        read = json.loads(body)
    except (ValueError, RecursionError):
        return None
    return read if isinstance(read, dict) else None


def too_large(_: Exception) -> Response:
    """In JSON, too: a page takes other answers for a line that is down, and sends it again."""
    return problem(413, "too_large", "Too large.", f"No more than {BODY_MOST} bytes.")


def locked() -> Response:
    """Nobody is signed in."""
    return problem(401, "locked", "The tablet is locked.", "Sign in with your code.")


def line_down() -> Response:
    """The service cannot be reached: nothing is known of what it did."""
    return problem(503, "line_down", "The line is down.", "The service does not answer. What was typed is kept.")
