"""The demo does its day from a clean copy, and the lines of its README and of the first one run against it.

The demo is of the embedded database alone: nothing is to be installed for it.
"""

import hashlib
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import sysconfig
import venv
from collections.abc import Iterator
from pathlib import Path

import pypdf
import pytest

from tests.house import HOUSE
from tests.serving import held_port, listens
from tests.waiting import PATIENCE_SECONDS

WITHOUT_GIT = ("README.md", "demo", "docker", "migrations", "openapi", "pyproject.toml", "service")
LEFT_OUT = shutil.ignore_patterns(".shop", "__pycache__", "*.sqlite*")
BLOCK = re.compile(r"<!-- tests/test_demo.py runs this block -->\n```bash\n(.*?)```", re.DOTALL)


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """The repository as a fresh clone has it, in a folder with a space, its packages already there."""
    copy = tmp_path.resolve() / "a fresh clone"
    copy_what_is_committed(copy)
    lend_packages(copy)
    return copy


def copy_what_is_committed(copy: Path) -> None:
    listing = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    try:
        listed = subprocess.run(listing, cwd=HOUSE, check=True, capture_output=True, text=True).stdout
    except (OSError, subprocess.CalledProcessError):  # an archive without its history
        for name in WITHOUT_GIT:
            there = HOUSE / name
            if there.is_dir():
                shutil.copytree(there, copy / name, ignore=LEFT_OUT)
            else:
                copy.mkdir(exist_ok=True)
                shutil.copy2(there, copy)
        return
    for name in filter(None, listed.split("\0")):
        if (HOUSE / name).exists():  # not one that is deleted and not yet committed
            (copy / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(HOUSE / name, copy / name)


def lend_packages(copy: Path) -> None:
    """An environment that docker/prepare finds whole: its packages are those that run this test."""
    environment = copy / ".venv"
    venv.create(environment, symlinks=True, with_pip=False)
    base = {"base": str(environment), "platbase": str(environment)}
    packages = Path(sysconfig.get_path("purelib", scheme="venv", vars=base))
    (packages / "lent.pth").write_text(sysconfig.get_path("purelib") + "\n")
    locked = subprocess.run(
        "cat docker/requirements*.txt pyproject.toml", shell=True, cwd=copy, check=True, capture_output=True
    ).stdout
    (environment / ".lock-runtime").write_text(f"{hashlib.sha256(locked).hexdigest()}  -\n")
    (environment / ".folder").write_text(str(copy))


@pytest.fixture
def page_port() -> Iterator[int]:
    with held_port() as port:
        yield port


PORTS = ("PORT", "PAGE_PORT", "FLOOR_PORT")


def surroundings(**more: str) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith("FITTING_") and name not in PORTS}
    return {**kept, "PYTHON": sys.executable, "NO_PROXY": "127.0.0.1", **more}


@pytest.fixture
def open_shop(copy: Path, port: int, page_port: int) -> Iterator[tuple[Path, int, subprocess.Popen[str]]]:
    """The demo, its day done, still serving."""
    # A page of its own as well: another test, at the same time, opens the demo at the addresses that it has by itself.
    ports = surroundings(PORT=str(port), PAGE_PORT=str(page_port))
    shop = subprocess.Popen([copy / "demo" / "run"], cwd="/", env=ports, stdout=subprocess.PIPE, text=True)
    assert shop.stdout
    told = []
    for line in shop.stdout:
        told.append(line)
        if line.startswith("Ctrl-C closes it"):
            break
    else:
        pytest.fail("the demo stopped:\n" + "".join(told[-40:]))
    yield copy, port, shop
    if shop.poll() is None:
        shop.terminate()
    shop.stdout.close()
    shop.wait(timeout=PATIENCE_SECONDS)


@pytest.mark.lengthy
def test_the_demo_lives_through_its_day_once_and_leaves_nothing_behind(copy: Path, tmp_path: Path) -> None:
    elsewhere = tmp_path / "throw away"
    elsewhere.mkdir()

    day = subprocess.run(
        [copy / "demo" / "run", "--once"],
        cwd="/",
        env=surroundings(TMPDIR=str(elsewhere)),
        capture_output=True,
        text=True,
        check=False,
        timeout=PATIENCE_SECONDS,
    )

    assert day.returncode == 0, day.stdout[-3000:] + day.stderr[-3000:]
    assert "The day is done" in day.stdout
    assert list(elsewhere.iterdir()) == []
    assert not (copy / "demo" / ".shop").exists()


def test_the_readmes_lines_run_against_an_open_shop_and_it_closes_when_told(
    open_shop: tuple[Path, int, subprocess.Popen[str]],
) -> None:
    copy, port, shop = open_shop
    [day] = BLOCK.findall((copy / "README.md").read_text("utf-8"))
    [till] = BLOCK.findall((copy / "demo" / "README.md").read_text("utf-8"))

    run, sold = (
        subprocess.run(
            ["bash", "-euo", "pipefail", "-c", lines],
            cwd=copy,
            env=surroundings(),
            capture_output=True,
            text=True,
            check=False,
            timeout=PATIENCE_SECONDS,
        )
        for lines in (day, till)
    )
    keys = copy / "demo" / ".shop" / "keys.env"
    keys_mode = keys.stat().st_mode & 0o777
    ticket = keys.with_name("ticket.pdf")
    pages = [page.extract_text() for page in pypdf.PdfReader(ticket).pages] if ticket.exists() else []
    shop.send_signal(signal.SIGTERM)

    assert run.returncode == 0, run.stdout[-3000:] + run.stderr
    assert '"plans"' in run.stdout
    assert "PINS IN 7" in run.stdout
    assert [re.findall(r"PINS IN: .*", page) for page in pages] == [["PINS IN: 3 of 7"], ["PINS IN: 4 of 7"]]
    assert run.stdout.endswith("accepted\n")
    assert sold.returncode == 0, sold.stdout[-3000:] + sold.stderr
    assert "sale-8002: printed" in sold.stderr
    assert sold.stdout.endswith("to pay  14.00\n")
    assert keys_mode == 0o600
    assert shop.wait(timeout=PATIENCE_SECONDS) == 0
    assert not listens(port)


def test_a_port_in_use_is_said_in_one_line(copy: Path) -> None:
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        door.listen()
        port = str(door.getsockname()[1])

        refused = subprocess.run(
            [copy / "demo" / "run"],
            cwd="/",
            env=surroundings(PORT=port),
            capture_output=True,
            text=True,
            check=False,
            timeout=PATIENCE_SECONDS,
        )

    assert refused.returncode == 1
    assert refused.stderr.count("\n") == 1
    assert port in refused.stderr
