"""Writes the contract's examples down, after a change to what is answered: `python -m tests.contract.write_examples`.

Then `python -m service write-contract`, and read the difference as a caller would.
"""

from pathlib import Path
from tempfile import TemporaryDirectory

import orjson

from tests.contract.made_up_day import examples_of
from tests.databases import migrated
from tests.house import SERVICE

FILE = SERVICE / "http" / "contract" / "examples.json"
PRINTED = FILE.parent / "papers"


def main():
    with TemporaryDirectory() as folder:
        examples, printed = examples_of(migrated(f"sqlite:///{Path(folder)}/day.sqlite3"))
    FILE.write_bytes(orjson.dumps(examples, option=orjson.OPT_INDENT_2 | orjson.OPT_SORT_KEYS) + b"\n")
    for name, paper in printed.items():
        (PRINTED / name).write_bytes(paper)


if __name__ == "__main__":
    main()
