"""The contract by all the rules of a known linter but those that spectral.yaml gives up, with reasons."""

import json
import re

import pytest

from service.console import CONTRACT
from tests.contract.npm import HERE, node

BROKEN = ("a missing description", "a wrong example", "an answer that leads nowhere")


ADVICE = "/v1/size-advice"


def part():
    """The contract of one operation, with what it names: a linter reads it in a tenth of the time."""
    document = json.loads(CONTRACT.read_text("utf-8"))
    document["paths"] = {ADVICE: document["paths"][ADVICE]}
    del document["webhooks"]
    schemas, kept, names = document["components"]["schemas"], {}, named(document["paths"])
    while names:
        kept |= {name: schemas[name] for name in names}
        names = named(kept) - kept.keys()
    document["components"]["schemas"] = kept
    return document


def named(part):
    return set(re.findall(r'"#/components/schemas/([^"/]+)"', json.dumps(part)))


def broken(kind):
    """That part with one fault."""
    document = part()
    advice = document["paths"][ADVICE]["post"]
    match kind:
        case "a missing description":
            del advice["description"]
        case "a wrong example":
            advice["requestBody"]["content"]["application/json"]["example"] = {"limit": "three"}
        case _:
            advice["responses"]["200"]["content"]["application/json"]["schema"] = {"$ref": "#/components/schemas/Gone"}
    return document


@pytest.fixture(scope="module")
def complaints(tmp_path_factory):
    """What the linter says of the contract, and of each broken one: it takes seconds to start, so it starts once."""
    folder = tmp_path_factory.mktemp("contracts")
    parts = {"the part": part()} | {kind: broken(kind) for kind in BROKEN}
    files = {"the contract": CONTRACT} | {kind: folder / f"{number}.json" for number, kind in enumerate(parts)}
    for kind, document in parts.items():
        files[kind].write_text(json.dumps(document))
    words = ("lint", *files.values(), "--ruleset", HERE / "spectral.yaml", "--format", "json", "--quiet")
    done = node("spectral", *words, "--fail-severity", "hint")
    assert done.returncode in (0, 1), done.stderr
    found = {kind: [] for kind in files}
    kinds = {str(file.resolve()): kind for kind, file in files.items()}
    for each in json.loads(done.stdout):
        found[kinds[each["source"]]].append((each["code"], ".".join(map(str, each["path"]))))
    return found


def test_the_linter_has_neither_errors_nor_warnings(complaints):
    assert [] == complaints["the contract"]


@pytest.mark.parametrize("kind", BROKEN)
def test_the_linter_would_complain(complaints, kind):
    assert set() != set(complaints[kind]) - set(complaints["the part"])
