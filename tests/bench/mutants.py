"""How many small faults the core's tests find: a seeded sample of mutants by mutmut's operators, in a copy of the tree.

    ./tests/bench/run mutants                                   80 mutants of the whole core, an hour at most
    MUTANTS=20 MUTANTS_IN=body MUTANTS_MINUTES=15 ./tests/bench/run mutants

A mutant is killed by the tests of its own room, or else by any other of the core. mutmut's own runner would run all of
them once under its counting first, and leaves out what stands outside of functions: thresholds are constants here.
"""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import unified_diff
from pathlib import Path

import libcst
from mutmut.mutation.file_mutation import create_mutations, deep_replace

from tests.house import HOUSE

CORE = Path("service", "tailoring")
TESTS = Path("tests", "tailoring")
SEED = 13
# One that runs in circles is found too; no test of the core takes as long.
PATIENCE_SECONDS = 600
LEFT_OUT = shutil.ignore_patterns(".*", "__pycache__", "node_modules", "*.sqlite3*")


@dataclass(frozen=True)
class Mutant:
    """A module of the core with one small fault."""

    path: Path
    code: str
    place: str


def main() -> None:
    count, part = int(os.environ.get("MUTANTS", "80")), os.environ.get("MUTANTS_IN", "")
    ends_at = time.monotonic() + 60 * float(os.environ.get("MUTANTS_MINUTES", "60"))
    modules = [path.relative_to(HOUSE) for path in sorted((HOUSE / CORE / part).rglob("*.py"))]
    with tempfile.TemporaryDirectory(prefix="mutants-") as name:
        tree = Path(name, "tree")
        shutil.copytree(HOUSE, tree, ignore=LEFT_OUT)
        _check(tree, modules)
        found: Counter[bool] = Counter()
        for mutant in _sample(modules, count):
            if time.monotonic() > ends_at:
                print("the time is up")
                break
            lived = _lives(tree, mutant)
            found[lived] += 1
            if lived:
                print(f"lived: {mutant.place}", flush=True)
    every = found.total()
    share = 100 * found[False] / max(every, 1)
    print(f"{'mutants of the core, killed':40} {found[False]:10} of {every:<7} {share:9.0f} %")


def _sample(modules: list[Path], count: int) -> Iterator[Mutant]:
    """So many of all mutants of the modules, each as likely as the others; the same for the same code."""
    where = [(path, number) for path in modules for number in range(len(_mutations(path)[1]))]
    chosen = random.Random(SEED).sample(where, min(count, len(where)))
    print(f"{len(chosen)} of {len(where)} mutants", flush=True)
    for path, number in chosen:
        module, mutations = _mutations(path)
        mutation = mutations[number]
        changed = deep_replace(module, mutation.original_node, mutation.mutated_node)
        assert isinstance(changed, libcst.Module)
        yield Mutant(path, changed.code, _place(path, module.code, changed.code))


def _mutations(path):
    module, mutations, *_ = create_mutations(str(path), (HOUSE / path).read_text("utf-8"))
    return module, mutations


def _place(path: Path, before: str, after: str) -> str:
    """Where the fault is, and what the first line of it was and is."""
    changes = list(unified_diff(before.splitlines(), after.splitlines(), lineterm="", n=0))
    line = changes[2].split()[1].lstrip("-").partition(",")[0]
    was = next((change[1:].strip() for change in changes[3:] if change.startswith("-")), "")
    now = next((change[1:].strip() for change in changes[3:] if change.startswith("+")), "")
    return f"{path}:{line}: {was}  ->  {now}"


def _check(tree: Path, modules: list[Path]) -> None:
    """Without a fault the tests pass, and it is the copy's code that they run."""
    assert _pass(tree, _of_its_room(tree, modules[-1])), "the tests fail without a mutant"
    broken = Mutant(modules[-1], "raise ValueError('a mutant')\n", "")
    assert not _lives(tree, broken), "the tests do not run the copy's code"


def _lives(tree: Path, mutant: Mutant) -> bool:
    """Whether all tests of the core pass in spite of it; those of its own room are asked first."""
    whole = (tree / mutant.path).read_text("utf-8")
    (tree / mutant.path).write_text(mutant.code, "utf-8")
    try:
        own = _of_its_room(tree, mutant.path)
        others = [str(TESTS), *(f"--ignore={each}" for each in own)]
        return _pass(tree, own) and (own == [str(TESTS)] or _pass(tree, others))
    finally:
        (tree / mutant.path).write_text(whole, "utf-8")


def _of_its_room(tree: Path, path: Path) -> list[str]:
    """The tests beside a module: of its name first, then of its room."""
    room = TESTS / path.parent.relative_to(CORE)
    own = room / f"test_{path.name}"
    found = [str(each) for each in (own, room) if (tree / each).exists()] if room != TESTS else [str(own)]
    return [each for each in found if (tree / each).exists()] or [str(TESTS)]


def _pass(tree: Path, words: list[str]) -> bool:
    options = ["-q", "-x", "-p", "no:cacheprovider", "-m", "not lengthy", f"--hypothesis-seed={SEED}"]
    environment = {name: value for name, value in os.environ.items() if not name.startswith("FITTING_")}
    try:
        done = subprocess.run(
            [sys.executable, "-m", "pytest", *options, *words],
            cwd=tree,
            env=environment | {"PYTHONDONTWRITEBYTECODE": "1"},
            check=False,
            capture_output=True,
            timeout=PATIENCE_SECONDS,
        )
    except subprocess.TimeoutExpired:
        return False
    return done.returncode == 0


if __name__ == "__main__":
    main()
