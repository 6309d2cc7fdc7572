"""No container engine runs here: the Dockerfile's own steps are walked, and what they make is started."""

import os
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import urllib.error
import urllib.request
from pathlib import Path

import orjson
import pytest

from tests.docker.dockerfile import built, instructions
from tests.house import HOUSE
from tests.postgres import QUICK, own_server
from tests.serving import all_are_taken, is_ready, listens
from tests.waiting import PATIENCE_SECONDS, WaitedInVain, until

DOCKERFILE = HOUSE / "docker" / "Dockerfile"
LINTER = Path(sys.executable).parent / "hadolint"


@pytest.fixture(scope="module")
def image():
    # Not below pytest's own folder: the service's user may not look into that.
    folder = Path(tempfile.mkdtemp(prefix="image-", dir="/tmp"))
    folder.chmod(0o755)
    yield built(folder, DOCKERFILE)
    shutil.rmtree(folder)


@pytest.fixture(params=["sqlite", "postgres"])
def database(request):
    """A database that the image's user may use."""
    if request.param == "sqlite":
        folder = Path(tempfile.mkdtemp(prefix="shop-", dir="/tmp"))
        if os.geteuid() == 0:
            os.chown(folder, 10001, 10001)
        yield f"sqlite:///{folder}/fitting.sqlite3"
        shutil.rmtree(folder)
        return
    # A server of its own: he is let into the folder that its socket is in.
    with own_server(QUICK) as server:
        if os.geteuid() == 0:
            os.chown(server.folder, -1, 10001)
            server.folder.chmod(0o710)
        yield server.url


def as_its_user(image):
    """Who runs it: the image's user where this test may become him."""
    user, group = (int(number) for number in image.user.split(":"))
    return {"user": user, "group": group, "extra_groups": []} if os.geteuid() == 0 else {}


def run(image, words, **environment):
    surroundings = image.surroundings(**environment)
    return subprocess.run(
        [shutil.which(words[0], path=surroundings["PATH"]), *words[1:]],
        cwd=image.folder,
        env=surroundings,
        check=False,
        capture_output=True,
        text=True,
        **as_its_user(image),
    )


@pytest.fixture
def started(image, database, port):
    """The image's own command, on a migrated database."""
    environment = image.surroundings(FITTING_DATABASE_URL=database, FITTING_BIND=f"127.0.0.1:{port}")
    migrated = run(image, ["fitting-service", "migrate"], FITTING_DATABASE_URL=database)
    assert 0 == migrated.returncode, migrated.stderr
    command = shutil.which(image.command[0], path=environment["PATH"])
    assert command.startswith(str(image.root))
    server = subprocess.Popen(
        [command, *image.command[1:]],
        cwd=image.folder,
        env=environment,
        stderr=subprocess.PIPE,
        text=True,
        **as_its_user(image),
    )
    try:
        # Not asked before it answers at all: each health check starts a Python of its own.
        until(lambda: is_ready(port), server)
        until(lambda: healthy(image, port), server)
    except WaitedInVain:
        server.kill()
        pytest.fail(server.stderr.read())
    yield server, port
    if server.poll() is None:
        server.kill()
    server.wait()
    server.stderr.close()


def healthy(image, port):
    """The image's own health check, at the port of this test."""
    words = [word.replace("127.0.0.1:8080", f"127.0.0.1:{port}") for word in image.health]
    return 0 == run(image, words).returncode


def test_the_dockerfile_has_no_fault_that_a_linter_knows():
    done = subprocess.run(
        [LINTER, "--failure-threshold", "style", DOCKERFILE], check=False, capture_output=True, text=True
    )
    assert (0, "") == (done.returncode, done.stdout)


def test_the_linter_would_find_one(tmp_path):
    (tmp_path / "Dockerfile").write_text("FROM python\nRUN cd /tmp && pip install flask\n")
    done = subprocess.run([LINTER, tmp_path / "Dockerfile"], check=False, capture_output=True, text=True)
    assert 1 == done.returncode
    assert "DL3006" in done.stdout


def test_every_stage_is_of_the_same_python_and_the_last_has_no_name_and_no_rights():
    bases = {rest.partition(" AS ")[0] for word, rest in instructions(DOCKERFILE) if word == "FROM"}
    assert {"python:3.11-slim"} == bases
    (user,) = (rest for word, rest in instructions(DOCKERFILE) if word == "USER")
    assert user.split(":") == ["10001", "10001"]


@pytest.mark.lengthy
def test_it_holds_what_runs_and_nothing_that_builds(image):
    programs = {path.name for path in (image.folder / ".venv" / "bin").iterdir()}
    assert {"gunicorn", "fitting-service", "python"} <= programs
    assert set() == {name for name in programs if name.startswith(("pip", "wheel", "pytest", "ruff", "uv"))}
    packages = {path.name for path in image.folder.glob(".venv/lib/*/site-packages/*")}
    assert set() == packages & {"pip", "setuptools", "wheel", "pytest", "hypothesis"}
    assert [] == list((image.root / "usr/local/lib/python3.11").glob("*/pip"))
    assert {"python", "python3.11"} == {path.name for path in (image.root / "usr/local/bin").iterdir()}
    assert {".venv", "docker", "migrations", "openapi", "pyproject.toml", "service"} == {
        path.name for path in image.folder.iterdir() if not path.name.endswith(".egg-info")
    }


@pytest.mark.lengthy
def test_its_user_can_change_nothing_of_it(image):
    if os.geteuid() != 0:
        pytest.skip("only root can become the image's user")
    script = "import os, sys; sys.exit(any(os.access(p, os.W_OK) for p in ('.', 'service', '.venv/bin', 'migrations')))"
    assert 0 == run(image, ["python", "-c", script]).returncode


@pytest.mark.lengthy
def test_it_starts_is_healthy_and_serves(started):
    _, port = started
    with urllib.request.urlopen(f"http://127.0.0.1:{port}/openapi.json", timeout=PATIENCE_SECONDS) as answer:
        assert "3.1.0" == orjson.loads(answer.read())["openapi"]
    with pytest.raises(urllib.error.HTTPError, match="401"):
        urllib.request.urlopen(f"http://127.0.0.1:{port}/v1/orders", timeout=PATIENCE_SECONDS)


@pytest.mark.lengthy
def test_told_to_stop_it_ends_what_is_in_hand_takes_nothing_more_and_goes(started):
    server, port = started
    body = b'{"readings": []}'
    head = (
        f"POST /v1/size-advice HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer a.b\r\n"
        f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
    )
    with socket.create_connection(("127.0.0.1", port), timeout=PATIENCE_SECONDS) as caller:
        caller.sendall(head.encode() + body[:5])
        # A worker has it in hand, and waits for the rest.
        until(lambda: all_are_taken(port))
        server.send_signal(signal.SIGTERM)
        until(lambda: not listens(port))
        assert None is server.poll()
        caller.sendall(body[5:])
        # Head and body may arrive in two pieces.
        answer = b"".join(iter(lambda: caller.recv(65536), b""))
    assert answer.startswith(b"HTTP/1.1 401 ")
    assert b'"key_unknown"' in answer
    assert 0 == server.wait(PATIENCE_SECONDS)
