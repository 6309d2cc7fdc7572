"""The contract by all the rules of a known linter but those that spectral.yaml gives up, with reasons."""

import json

import pytest

from service.console import CONTRACT
from tests.contract.npm import HERE, node


def complaints_about(contract):
    words = ("lint", contract, "--ruleset", HERE / "spectral.yaml", "--format", "json", "--quiet")
    done = node("spectral", *words, "--fail-severity", "hint")
    assert done.returncode in (0, 1), done.stderr
    return [(each["code"], ".".join(map(str, each["path"]))) for each in json.loads(done.stdout)]


def test_the_linter_has_neither_errors_nor_warnings():
    assert [] == complaints_about(CONTRACT)


@pytest.mark.parametrize("kind", ["a missing description", "a wrong example", "an answer that leads nowhere"])
def test_the_linter_would_complain(tmp_path, kind):
    document = json.loads(CONTRACT.read_text("utf-8"))
    advice = document["paths"]["/v1/size-advice"]["post"]
    match kind:
        case "a missing description":
            del advice["description"]
        case "a wrong example":
            advice["requestBody"]["content"]["application/json"]["example"] = {"limit": "three"}
        case _:
            advice["responses"]["200"]["content"]["application/json"]["schema"] = {"$ref": "#/components/schemas/Gone"}
    broken = tmp_path / "openapi.json"
    broken.write_text(json.dumps(document))
    assert [] != complaints_about(broken)
