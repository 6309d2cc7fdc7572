"""The contract by all the rules of a known linter but those that spectral.yaml gives up, with reasons."""

import json

import pytest

from service.console import CONTRACT
from tests.contract.npm import HERE, node

BROKEN = ("a missing description", "a wrong example", "an answer that leads nowhere")


def broken(kind):
    """The contract with one fault."""
    document = json.loads(CONTRACT.read_text("utf-8"))
    advice = document["paths"]["/v1/size-advice"]["post"]
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
    files = {"the contract": CONTRACT} | {kind: folder / f"{number}.json" for number, kind in enumerate(BROKEN)}
    for kind in BROKEN:
        files[kind].write_text(json.dumps(broken(kind)))
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
    assert [] != complaints[kind]
