"""The chain's proxy with its own configuration, before two real services: what callers see of them together."""

import gzip
import json
import shutil
import socket
import ssl
import subprocess
import threading
import urllib.error
import urllib.request
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from uuid import uuid4

import pytest

from service.use_cases.shop.keys import SCOPES, give_key
from tests.docker.names import naming
from tests.faults.under_gunicorn import served
from tests.given import GIVEN
from tests.house import HOUSE
from tests.http.sheets import order
from tests.serving import held_port, listens
from tests.waiting import PATIENCE_SECONDS, WaitedInVain, until

PROXY = (HOUSE / "docker" / "nginx.conf").read_text("utf-8")
NGINX = GIVEN.get("NGINX") or shutil.which("nginx") or "/usr/sbin/nginx"
# It would keep what it holds for a while where only root may write.
KEEPS = ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")


@dataclass(frozen=True)
class Chain:
    """Two services behind the proxy; its certificate is all that `trust` takes."""

    port: int
    services: tuple
    trust: ssl.SSLContext

    def ask(self, path, key=None, document=None, **headers):
        """Status, headers and text of an answer through the proxy."""
        if key:
            headers["Authorization"] = f"Bearer {key}"
        data = None if document is None else json.dumps(document).encode()
        headers["Content-Type"] = "application/json"
        headers = {name.replace("_", "-"): value for name, value in headers.items()}
        request = urllib.request.Request(f"https://localhost:{self.port}{path}", data, headers)
        try:
            with urllib.request.urlopen(request, timeout=PATIENCE_SECONDS, context=self.trust) as answer:
                packed = answer.headers["Content-Encoding"] == "gzip"
                text = answer.read()
                answer.headers["Bytes-On-The-Wire"] = str(len(text))
                return answer.status, answer.headers, (gzip.decompress(text) if packed else text).decode()
        except urllib.error.HTTPError as error:
            with error:
                return error.code, error.headers, error.read().decode()


@contextmanager
def proxying(folder, service, port, own_port, names=53, group=""):
    """The proxy of docker/, on ports that are held for it; only addresses and folders are another machine's.

    It asks the server of names at a port of this machine for `service`, unless that is a `group` of addresses.
    """
    certificate = ["req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "1", "-subj", "/CN=localhost"]
    certificate += ["-addext", "subjectAltName=DNS:localhost"]
    words = ["openssl", *certificate, "-keyout", folder / "privkey.pem", "-out", folder / "fullchain.pem"]
    subprocess.run(words, check=True, capture_output=True)
    text = PROXY
    kept = " ".join(f"{each}_temp_path {folder}/{each};" for each in KEEPS)
    for theirs, ours in (
        ("/etc/nginx/tls", str(folder)),
        ("/run/nginx.pid", f"{folder}/pid"),
        ("listen 8443 ssl", f"listen 127.0.0.1:{port} ssl"),
        ("listen 127.0.0.1:8081", f"listen 127.0.0.1:{own_port}"),
        ("http {", f"http {{ {kept} {group}"),
        ("resolver 127.0.0.11 ", f"resolver 127.0.0.1:{names} "),
        # The names' server is a thread of these tests: a busy machine may let it wait.
        ("resolver_timeout 2s;", f"resolver_timeout {PATIENCE_SECONDS}s;"),
        ("default service:8080;", f"default {service};"),
        # Each of its workers looks names up for itself: with one, what one request was told they all know.
        ("worker_processes auto;", "worker_processes 1;"),
        # A word of newer versions than a distribution may have.
        ("http2 on;", ""),
    ):
        assert theirs in text
        text = text.replace(theirs, ours)
    (folder / "nginx.conf").write_text(text)
    with (folder / "proxy.log").open("wb") as log:
        words = [NGINX, "-p", folder, "-e", "stderr", "-c", folder / "nginx.conf", "-g", "daemon off;"]
        proxy = subprocess.Popen(words, stdout=log, stderr=log)
        try:
            try:
                until(lambda: listens(port), proxy)
            except WaitedInVain:
                pytest.fail((folder / "proxy.log").read_text())
            yield port
        finally:
            proxy.terminate()
            proxy.wait(PATIENCE_SECONDS)


def together(*ports):
    """Addresses of this machine under one name: services of one machine have ports of their own."""
    return f"upstream both {{ {' '.join(f'server 127.0.0.1:{port};' for port in ports)} }}"


@pytest.fixture(scope="module")
def chain(database_url, tmp_path_factory):
    folders = [tmp_path_factory.mktemp(name) for name in ("proxy", "one", "two")]
    settings = {"FITTING_TRUSTED_PROXIES": "1", "FITTING_ADDRESS_PER_MINUTE": "5"}
    with (
        served(folders[1], database_url, **settings) as one,
        served(folders[2], database_url, **settings) as two,
        held_port() as port,
        held_port() as own_port,
        proxying(folders[0], "both", port, own_port, group=together(one.port, two.port)),
    ):
        trust = ssl.create_default_context(cafile=folders[0] / "fullchain.pem")
        yield Chain(port, (one, two), trust)


@pytest.fixture
def key(context, shop):
    return give_key(context, shop.id, "staff", frozenset(SCOPES))


def test_callers_speak_tls_and_both_services_answer(chain, key):
    answers = [chain.ask("/v1/charts", key) for _ in range(6)]
    assert {200} == {status for status, *_ in answers}
    assert {"max-age=31536000"} == {headers["Strict-Transport-Security"] for _, headers, _ in answers}
    assert all("charts.list_charts" in each.said for each in chain.services)


def test_an_order_is_placed_and_found_whichever_service_is_asked(chain, key):
    status, headers, text = chain.ask("/v1/orders", key, order(), Idempotency_Key=str(uuid4()))
    assert 201 == status, text
    placed, found = json.loads(text), [json.loads(chain.ask(headers["Location"], key)[2]) for _ in range(4)]
    assert [placed | each for each in found] == [placed] * 4


def test_answers_are_packed_for_whoever_takes_that_and_an_etag_serves_all_the_same(chain, key):
    _, plain, catalogue = chain.ask("/v1/alterations", key)
    _, packed, same = chain.ask("/v1/alterations", key, Accept_Encoding="gzip")
    assert (None, "gzip", catalogue) == (plain["Content-Encoding"], packed["Content-Encoding"], same)
    assert 5 * int(packed["Bytes-On-The-Wire"]) < int(plain["Bytes-On-The-Wire"]) == len(catalogue.encode())
    for headers in (plain, packed):
        assert 304 == chain.ask("/v1/alterations", key, If_None_Match=headers["ETag"])[0]


def test_what_is_counted_stays_inside(chain):
    assert 404 == chain.ask("/metrics")[0]


def test_whoever_asks_is_told_apart_by_the_proxy_and_not_by_what_he_says(chain):
    # Five a minute at either service; a few more where a minute ends in between.
    said = [chain.ask("/v1/collection-slips/" + "x" * 32, X_Forwarded_For=f"203.0.113.{n}")[0] for n in range(16)]
    assert 404 == said[0]
    assert 429 in said


def test_a_slow_caller_holds_no_worker(chain, key):
    body = json.dumps(order()).encode()
    head = (
        f"POST /v1/orders HTTP/1.1\r\nHost: localhost\r\nAuthorization: Bearer {key}\r\nIdempotency-Key: {uuid4()}\r\n"
    )
    head += f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\nConnection: close\r\n\r\n"
    with socket.create_connection(("127.0.0.1", chain.port)) as plain:
        slow = [chain.trust.wrap_socket(plain, server_hostname="localhost")]
        for _ in range(3):
            more = socket.create_connection(("127.0.0.1", chain.port))
            slow.append(chain.trust.wrap_socket(more, server_hostname="localhost"))
        # More slow callers than there are workers, each in the middle of an order.
        for each in slow:
            each.sendall(head.encode() + body[:10])
        answered = []
        asking = threading.Thread(target=lambda: answered.extend(chain.ask("/v1/charts", key)[0] for _ in range(4)))
        asking.start()
        asking.join(PATIENCE_SECONDS)
        assert [200] * 4 == answered
        for each in slow:
            each.sendall(body[10:])
        # One order: all four are the same request under the same key.
        ids = {json.loads(_all_of(each).partition(b"\r\n\r\n")[2])["id"] for each in slow}
        assert 1 == len(ids)


class Here(BaseHTTPRequestHandler):
    """Answers with the address at which it was asked."""

    def do_GET(self):
        body = self.server.server_address[0].encode()
        self.send_response(200)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_):
        pass


@contextmanager
def answering(address, port=0):
    """A container of the service, in short, at an address of this machine."""
    with ThreadingHTTPServer((address, port), Here) as server:
        thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
        thread.start()
        try:
            yield server.server_port
        finally:
            server.shutdown()
            thread.join()


def test_a_service_that_comes_back_at_another_address_is_found_there(tmp_path):
    first, second = "127.0.0.1", "127.0.0.2"
    with ExitStack() as stack:
        before = stack.enter_context(ExitStack())
        service = before.enter_context(answering(first))
        names = stack.enter_context(naming(first))
        port, own_port = (stack.enter_context(held_port()) for _ in range(2))
        where = f"service:{service}", port, own_port, names.server_address[1]
        stack.enter_context(proxying(tmp_path, *where))
        proxy = Chain(port, (), ssl.create_default_context(cafile=tmp_path / "fullchain.pem"))
        assert (200, first) == proxy.ask("/")[::2]
        # Two for a while, as in an upgrade, then the second alone.
        stack.enter_context(answering(second, service))
        names.addresses = (first, second)
        until(lambda: second == proxy.ask("/")[2])
        before.close()
        # However the name is answered, whoever asks meets the one that is there.
        assert [(200, second)] * 8 == [proxy.ask("/")[::2] for _ in range(8)]
        names.addresses = (second,)
        assert (200, second) == proxy.ask("/")[::2]


def _all_of(connection):
    with connection:
        return b"".join(iter(lambda: connection.recv(65536), b""))
