"""The tools of the contract that come from npm, as tests/run installs them beside this file, locked.

    node("spectral", "lint", contract)

A tool that is not there fails the test: `tests/run` sets everything up.
"""

import subprocess
from pathlib import Path

from tests.waiting import PATIENCE_SECONDS

HERE = Path(__file__).parent
MODULES = HERE / "node_modules"
MISSING = "the contract's tools are not installed: ./tests/run does it, with Node.js and npm"


def node(tool, *words, cwd=HERE):
    """Run a tool of the lock, by its name. Raises RuntimeError where it is not installed."""
    program = MODULES / ".bin" / tool
    if not program.exists():
        raise RuntimeError(MISSING)
    return subprocess.run(
        [program, *map(str, words)], cwd=cwd, check=False, capture_output=True, text=True, timeout=PATIENCE_SECONDS
    )


def said(done):
    """What a program wrote, where it ended well."""
    assert 0 == done.returncode, done.stdout + done.stderr
    return done.stdout
