"""What holds for the house as a whole."""

import ast
import csv
import re
import subprocess
import sys
import tomllib
from collections import Counter

import pytest

from tests.house import HOUSE, MODULES, SERVICE

TAILORING = SERVICE / "tailoring"
TOP = {
    "README.md", "DEVELOPERS.md", "pyproject.toml",
    "service", "openapi", "migrations", "tests", "docker", "demo",
}  # fmt: skip
LINES_MOST = 320
FILES_MOST = 20


def in_git():
    """The files that are kept, or would be: what git ignores does not count."""
    words = ["git", "-C", str(HOUSE), "ls-files", "--cached", "--others", "--exclude-standard"]
    return subprocess.run(words, check=True, capture_output=True, text=True).stdout.splitlines()


def test_the_top_level_holds_what_it_may_and_dotfiles():
    if not (HOUSE / ".git").exists():
        pytest.skip("no checkout: what git ignores cannot be told")
    tops = {name.partition("/")[0] for name in in_git()}
    assert set() == {name for name in tops if not name.startswith(".")} - TOP


def test_no_module_is_longer_than_it_may_be():
    lengths = {str(path.relative_to(HOUSE)): len(path.read_text("utf-8").splitlines()) for path in MODULES}
    assert {} == {name: count for name, count in lengths.items() if count > LINES_MOST}


def test_no_function_is_longer_than_fifty_lines_of_its_own():
    long = {}
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.FunctionDef):
                inner = [each for each in ast.walk(node) if isinstance(each, ast.FunctionDef) and each is not node]
                first = node.body[1] if ast.get_docstring(node) and len(node.body) > 1 else node.body[0]
                own = node.end_lineno - first.lineno + 1 - sum(each.end_lineno - each.lineno + 1 for each in inner)
                if own > 50:
                    long[f"{path.relative_to(HOUSE)}:{node.name}"] = own
    assert {} == long


def test_no_folder_holds_more_files_than_a_reader_takes_in():
    counts = Counter(str(path.parent.relative_to(HOUSE)) for path in SERVICE.rglob("*.*") if path.suffix != ".pyc")
    assert {} == {folder: count for folder, count in counts.items() if count > FILES_MOST}


def test_every_module_says_what_it_is_for():
    assert [] == [str(path) for path in MODULES if not ast.get_docstring(ast.parse(path.read_text("utf-8")))]


def test_no_module_is_a_drawer_for_odds_and_ends():
    drawers = {"utils", "util", "helpers", "common", "manager", "base", "misc"}
    assert [] == [str(path) for path in MODULES if path.stem in drawers]


@pytest.mark.parametrize("table", sorted(TAILORING.rglob("*.csv")), ids=lambda path: path.stem)
def test_every_row_of_a_table_has_its_source(table):
    with table.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert rows
    assert [] == [number for number, row in enumerate(rows, start=1) if not (row.get("source") or "").strip()]
    assert [] == [number for number, row in enumerate(rows, start=1) if None in row or None in row.values()]


@pytest.mark.parametrize("table", sorted(TAILORING.rglob("*.toml")), ids=lambda path: path.stem)
def test_every_document_of_figures_names_a_source(table):
    document = tomllib.loads(table.read_text("utf-8"))
    assert any("source" in name for name in _names(document))


def test_importing_the_application_opens_nothing():
    # In a process of its own, whose every opened file and socket is looked at.
    script = """
import sys
opened = []
def hook(event, given):
    if event in ("socket.connect", "socket.bind", "sqlite3.connect", "subprocess.Popen"):
        opened.append(event)
    elif event == "open" and isinstance(given[0], str) and isinstance(given[1], str) and set(given[1]) & set("wax+"):
        opened.append(given)
sys.addaudithook(hook)
sys.dont_write_bytecode = True
import service.app, service.console
print(opened)
"""
    said = subprocess.run([sys.executable, "-c", script], cwd=HOUSE, check=True, capture_output=True, text=True).stdout
    assert "[]" == said.strip()


def test_importing_the_application_reads_no_setting():
    environment = {"FITTING_DATABASE_URL": "wrong", "FITTING_NONSENSE": "1", "PATH": "/usr/bin:/bin"}
    words = [sys.executable, "-c", "import service.app, service.console"]
    done = subprocess.run(words, cwd=HOUSE, check=False, capture_output=True, text=True, env=environment)
    assert (0, "") == (done.returncode, done.stderr)


def test_only_one_module_commits():
    committing = [
        str(path.relative_to(SERVICE))
        for path in MODULES
        if re.search(r"\.(begin|commit)\(\)", path.read_text("utf-8"))
    ]
    assert ["storage/database.py"] == committing


def test_only_delivery_reaches_out_into_the_network():
    # The contracts of layers see whole packages; these are parts of larger ones.
    reaching = r"^\s*(?:from|import) (?:http\.client|urllib\.request|smtplib|ftplib|asyncio|requests|httpx)\b"
    found = {path.parent.name for path in MODULES if re.search(reaching, path.read_text("utf-8"), re.MULTILINE)}
    assert {"delivery"} == found


def test_only_one_module_of_http_knows_the_statuses_of_refusals():
    # Statuses of success are a view's own; those of refusals stand with their words.
    refusing = {
        str(path.relative_to(SERVICE))
        for path in MODULES
        if re.search(r"\babort\(|werkzeug.*HTTPException|werkzeug\.exceptions", path.read_text("utf-8"))
    }
    assert {"http/problems.py"} == refusing


def _names(document):
    for name, value in document.items():
        yield name
        for inner in value if isinstance(value, list) else [value]:
            if isinstance(inner, dict):
                yield from _names(inner)


def test_no_test_takes_anything_from_another_file_of_tests():
    # What several share has a module of its own: a name that says what it is.
    taken = re.compile(r"^\s*from (tests(?:\.\w+)*\.(?:test_\w+|conftest)) import", re.MULTILINE)
    found = {
        str(path.relative_to(HOUSE)): taken.findall(path.read_text("utf-8"))
        for path in (HOUSE / "tests").rglob("*.py")
        if "node_modules" not in path.parts
    }
    assert {} == {name: modules for name, modules in found.items() if modules}
