"""Every row of the table, or those of the parts that are named: served, commits, postgres, core, processes."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from tests.bench.limit import commits, in_process, served

PARTS = {
    "served": served.rows,
    "commits": commits.rows,
    "postgres": commits.rows_on_postgres,
    "core": in_process.rows,
    "processes": in_process.rows_of_processes,
}


def main(*names: str) -> None:
    for name in names or PARTS:
        with tempfile.TemporaryDirectory() as folder:
            PARTS[name](Path(folder))


if __name__ == "__main__":
    main(*sys.argv[1:])
