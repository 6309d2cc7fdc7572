import datetime as dt
import queue
import socket
import ssl
import threading
import time
from contextlib import suppress

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

from service.delivery.posting import LOOKUPS_MOST, NotSent, Poster
from tests.delivery.receiver import receiving
from tests.waiting import PATIENCE_SECONDS

HERE = "127.0.0.1"
OUTSIDE = "93.184.216.34"


class Names:
    """A name server for tests: each asking gets the next answer, the last one again and again."""

    def __init__(self, *answers):
        self.asked = []
        self._answers = list(answers)

    def __call__(self, host, port):
        self.asked.append(host)
        return self._answers.pop(0) if len(self._answers) > 1 else self._answers[0]


def refused(poster, url):
    with pytest.raises(NotSent) as fault:
        poster.post(url, {}, b"{}")
    return str(fault.value)


@pytest.fixture
def receiver():
    with receiving() as found:
        yield found


@pytest.fixture
def certificate(tmp_path):
    """A certificate of shop.example that its own client trusts."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "shop.example")])
    now = dt.datetime.now(dt.UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(1)
        .not_valid_before(now - dt.timedelta(days=1))
        .not_valid_after(now + dt.timedelta(days=1))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName("shop.example")]), critical=False)
        .sign(key, hashes.SHA256())
    )
    path = tmp_path / "shop.pem"
    path.write_bytes(
        key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())
        + made.public_bytes(serialization.Encoding.PEM)
    )
    return path


@pytest.fixture
def secure(certificate):
    """A receiver by TLS, and what trusts it."""
    serving = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    serving.load_cert_chain(certificate)
    with receiving(serving) as found:
        yield found, ssl.create_default_context(cafile=str(certificate))


def test_a_post_arrives_with_its_headers_and_body(receiver):
    status = Poster(60, anywhere=True).post(receiver.url + "?shop=1", {"webhook-id": "e-1"}, b'{"a": 1}')
    headers, body = receiver.got[0]
    assert (204, "e-1", b'{"a": 1}', f"{HERE}:{receiver.port}") == (
        status,
        headers["webhook-id"],
        body,
        headers["Host"],
    )


def test_plain_http_is_for_operators_who_allow_it(receiver):
    assert "its address is not https" == refused(Poster(2, lookup=Names([OUTSIDE])), receiver.url)
    assert [] == receiver.got


@pytest.mark.parametrize(
    "host", ["127.0.0.1", "localhost", "[::1]", "0.0.0.0", "2130706433", "0x7f000001", "127.1", "[::ffff:127.0.0.1]"]
)
def test_this_machine_is_refused_however_it_is_written(receiver, host):
    said = refused(Poster(2), f"https://{host}:{receiver.port}/")
    assert said in {"its address is not public", "its name is not known"}
    assert [] == receiver.got


@pytest.mark.parametrize("addresses", [[HERE], [OUTSIDE, HERE], ["10.0.0.1", OUTSIDE], ["::1"], ["169.254.169.254"]])
def test_one_address_that_is_not_public_bars_the_name(receiver, addresses):
    poster = Poster(2, lookup=Names(addresses))
    assert "its address is not public" == refused(poster, f"https://shop.example:{receiver.port}/")
    assert [] == receiver.got


def test_a_name_that_turns_inward_after_it_was_looked_at_gains_nothing(secure):
    # The first answer is outside and passes the look; a second asking would give this machine. It is never asked:
    # the connection goes to the very address that was looked at (where, for this test, the receiver answers).
    receiver, tls = secure
    names, connected = Names([OUTSIDE], [HERE]), []

    def connect(address, seconds):
        connected.append(address)
        return socket.create_connection((HERE, receiver.port), seconds)

    poster = Poster(2, lookup=names, connect=connect, tls=tls)
    assert 204 == poster.post("https://shop.example/", {}, b"{}")
    assert (["shop.example"], [(OUTSIDE, 443)]) == (names.asked, connected)
    # To the receiver it was the name all the same: in the certificate and in the header.
    assert "shop.example" == receiver.got[0][0]["Host"]
    # Turned inward by now, the name is refused.
    assert "its address is not public" == refused(poster, "https://shop.example/")
    assert 1 == len(connected)


def test_the_certificate_must_be_the_names(secure):
    receiver, tls = secure
    poster = Poster(2, anywhere=True, lookup=Names([HERE]), tls=tls)
    assert "its certificate is not right" == refused(poster, f"https://other.example:{receiver.port}/")
    unknown = Poster(2, anywhere=True, lookup=Names([HERE]))
    assert "its certificate is not right" == refused(unknown, f"https://shop.example:{receiver.port}/")
    assert [] == receiver.got


def test_the_next_address_is_tried_where_one_does_not_answer(receiver):
    poster = Poster(2, anywhere=True, lookup=Names(["127.0.0.2", HERE]))
    assert 204 == poster.post(f"http://shop.example:{receiver.port}/", {}, b"{}")


def test_a_redirect_is_answered_and_not_followed(receiver):
    receiver.answer = lambda *_: 302
    assert 302 == Poster(60, anywhere=True).post(receiver.url, {}, b"{}")
    assert 1 == len(receiver.got)


def test_an_unknown_name_and_a_closed_door_are_said(receiver):
    def nobody(host, port):
        raise socket.gaierror("no such name")

    assert "its name is not known" == refused(Poster(2, lookup=nobody), "https://shop.example/")
    with socket.socket() as door:
        door.bind((HERE, 0))
        closed = f"http://{HERE}:{door.getsockname()[1]}/"
        assert refused(Poster(2, anywhere=True), closed) == "it refused the connection"


def drip(handler, _n):
    """An answer that never ends: a header byte now and then, each within any time-out of a single read."""
    handler.connection.sendall(b"HTTP/1.1 200 OK\r\nX: ")
    for _ in range(100):
        try:
            handler.connection.sendall(b"x")
        except OSError:
            return
        time.sleep(0.1)


def test_an_answer_that_drips_is_cut_at_the_deadline(receiver):
    receiver.answer = drip
    # It drips for ten seconds, and then hangs up: that would be another word.
    assert "no answer in time" == refused(Poster(1, anywhere=True), receiver.url)


def test_a_greeting_that_drips_is_cut_at_the_deadline():
    # A server that begins a TLS record and sends it byte by byte.
    with socket.create_server((HERE, 0)) as door:

        def serve():
            caller, _ = door.accept()
            with caller:
                try:
                    caller.sendall(b"\x16\x03\x03\x40\x00\x02")
                    for _ in range(100):
                        caller.sendall(b"\x00")
                        time.sleep(0.1)
                except OSError:
                    return

        thread = threading.Thread(target=serve)
        thread.start()
        # It drips for ten seconds, and then hangs up: that would be another word.
        said = refused(Poster(1, anywhere=True, lookup=Names([HERE])), f"https://shop.example:{door.getsockname()[1]}/")
        assert "no answer in time" == said
        thread.join()


def test_the_body_of_an_answer_is_not_read(receiver):
    poured = queue.SimpleQueue()

    def flood(handler, _n):
        handler.send_response(200)
        handler.end_headers()
        blocks = 0
        with suppress(OSError):
            while blocks < 10_000:
                handler.wfile.write(b"x" * 65536)
                blocks += 1
        poured.put(blocks)

    receiver.answer = flood
    assert 200 == Poster(60, anywhere=True).post(receiver.url, {}, b"{}")
    # What goes into the two sockets' buffers before the caller hangs up, out of 640 MB.
    assert poured.get(timeout=PATIENCE_SECONDS) < 1000


def test_a_name_that_is_slow_to_be_found_is_cut_at_the_deadline(receiver):
    found = threading.Event()

    def lookup(_host, _port):
        found.wait(60)
        return [HERE]

    poster = Poster(0.2, anywhere=True, lookup=lookup)
    assert "its name was not found in time" == refused(poster, f"http://shop.example:{receiver.port}/")
    found.set()
    assert [] == receiver.got


def test_names_that_are_never_found_leave_room_for_no_more_than_so_many_look_ups(receiver):
    found, asked = threading.Event(), []

    def lookup(host, _port):
        asked.append(host)
        found.wait(60)
        return [HERE]

    stuck = Poster(0.01, anywhere=True, lookup=lookup)
    try:
        for _ in range(LOOKUPS_MOST + 5):
            assert "its name was not found in time" == refused(stuck, f"http://slow.example:{receiver.port}/")
        assert len(asked) <= LOOKUPS_MOST
    finally:
        found.set()
    # They end, and others are looked up again.
    well = Poster(60, anywhere=True, lookup=Names([HERE]))
    assert 204 == well.post(f"http://shop.example:{receiver.port}/", {}, b"{}")


def test_a_name_that_changes_is_looked_up_for_each_post_and_each_is_held_to_what_it_found(receiver):
    names = Names([HERE], ["127.0.0.2"], [HERE])
    reached = []

    def connect(address, seconds):
        reached.append(address[0])
        return socket.create_connection((HERE, address[1]), seconds)

    poster = Poster(60, anywhere=True, lookup=names, connect=connect)
    for _ in range(3):
        assert 204 == poster.post(f"http://shop.example:{receiver.port}/", {}, b"{}")
    assert [HERE, "127.0.0.2", HERE] == reached
    assert 3 == len(names.asked)
