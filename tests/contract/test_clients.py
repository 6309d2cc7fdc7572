"""Clients that well-known generators make of the contract do a caller's main job against the running service."""

import json
import os
import subprocess
import sys

import orjson
import pytest

from service.console import CONTRACT
from tests.contract.npm import HERE, MODULES, node, said
from tests.http.sheets import placed
from tests.serving import serving

TYPES = "contract.d.ts"
STRICT = ("--strict", "--skipLibCheck", "--target", "es2022", "--module", "nodenext")


@pytest.fixture
def address(house):
    with serving(house.contract.app) as address:
        yield address


@pytest.fixture
def key(shop):
    return shop.staff._key  # noqa: SLF001  for a caller in a process of its own


@pytest.fixture(scope="session")
def python_client(tmp_path_factory):
    """A folder with the generated package, made without a warning."""
    folder = tmp_path_factory.mktemp("python")
    words = ["generate", "--path", CONTRACT, "--output-path", folder / "fitting_client", "--meta", "none"]
    generator = [sys.executable, "-m", "openapi_python_client", *words, "--fail-on-warning"]
    path = os.pathsep.join((os.path.dirname(sys.executable), os.environ["PATH"]))  # noqa: PTH120  it runs ruff from there
    done = subprocess.run(
        generator, cwd=folder, check=False, capture_output=True, text=True, env={**os.environ, "PATH": path}
    )
    said(done)
    return folder


@pytest.fixture(scope="session")
def typescript_client(tmp_path_factory):
    """A folder with the generated types and the compiled caller, checked strictly against them."""
    folder = tmp_path_factory.mktemp("typescript")
    (folder / "node_modules").symlink_to(MODULES)
    (folder / "package.json").write_text('{"type": "module"}')
    said(node("openapi-typescript", CONTRACT, "-o", folder / TYPES, "--default-non-nullable", "false"))
    (folder / "main_job.ts").write_text((HERE / "main_job.ts").read_text("utf-8"))
    said(node("tsc", *STRICT, "main_job.ts", cwd=folder))
    return folder


def by_python(folder, address, key):
    words = [sys.executable, HERE / "main_job.py", address, key]
    return subprocess.run(
        words, cwd=folder, check=False, capture_output=True, text=True, env={**os.environ, "PYTHONPATH": str(folder)}
    )


def by_typescript(folder, address, key):
    words = ["node", folder / "main_job.js", address, key]
    return subprocess.run(words, check=False, capture_output=True, text=True)


@pytest.mark.parametrize(("client", "run"), [("python_client", by_python), ("typescript_client", by_typescript)])
def test_a_generated_client_gets_advice_places_an_order_once_and_follows_it(request, client, run, address, key, staff):
    got = json.loads(said(run(request.getfixturevalue(client), address, key)))

    orders = staff.get("/v1/orders").body["orders"]
    assert [got["id"]] == [each["id"] for each in orders]
    kept = staff.get(f"/v1/orders/{got['id']}").body
    assert ("36R", "30") == (got["jacket"], got["trousers"])
    assert got["id"] == got["again"]
    assert {name: kept[name] for name in ("number", "state", "promised_for", "total")} == {
        name: got[name] for name in ("number", "state", "promised_for", "total")
    }
    assert ["field_wrong", ["/by"]] == got["refused"]


def test_a_generated_client_of_today_reads_an_answer_with_a_field_of_tomorrow(python_client, staff):
    order = placed(staff)
    order["lines"][0]["price"]["minor_before"] = 1
    read = (
        "import json, sys; from fitting_client.models import Order;"
        "print(Order.from_dict(json.load(sys.stdin)).lines[0].price.to_dict()['minor_before'])"
    )
    whole = staff.get(f"/v1/orders/{order['id']}").body | order | {"more": 1}
    done = subprocess.run(
        [sys.executable, "-c", read], input=json.dumps(whole),
        cwd=python_client, check=False, capture_output=True, text=True,
        env={**os.environ, "PYTHONPATH": str(python_client)},
    )  # fmt: skip
    assert "1" == said(done).strip()


def test_a_strictly_typed_caller_of_today_compiles_against_answers_with_a_field_of_tomorrow(
    typescript_client, tmp_path
):
    grown = orjson.loads(CONTRACT.read_bytes())
    for schema in grown["components"]["schemas"].values():
        if "properties" in schema and schema.get("additionalProperties") is not False:
            schema["properties"]["of_tomorrow"] = {"type": "string"}
            schema.setdefault("required", []).append("of_tomorrow")
    (tmp_path / "grown.json").write_bytes(orjson.dumps(grown))
    (tmp_path / "node_modules").symlink_to(MODULES)
    (tmp_path / "package.json").write_text('{"type": "module"}')
    said(node("openapi-typescript", tmp_path / "grown.json", "-o", tmp_path / TYPES, "--default-non-nullable", "false"))
    assert "of_tomorrow" in (tmp_path / TYPES).read_text("utf-8")
    (tmp_path / "main_job.ts").write_text((HERE / "main_job.ts").read_text("utf-8"))
    said(node("tsc", *STRICT, "--noEmit", "main_job.ts", cwd=tmp_path))


def test_a_caller_that_misspells_a_field_does_not_compile(typescript_client):
    wrong = (HERE / "main_job.ts").read_text("utf-8").replace("by:", "bye:")
    (typescript_client / "wrong.ts").write_text(wrong)
    done = node("tsc", *STRICT, "--noEmit", "wrong.ts", cwd=typescript_client)
    assert 0 != done.returncode
    assert "bye" in done.stdout
