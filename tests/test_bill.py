"""What the service is made of: the bill of its packages and their licences says what the lock says."""

import csv
import json
import re
from pathlib import Path

from packaging.requirements import Requirement

DOCKER = Path(__file__).parents[1] / "docker"
# Of the ways in which packages write their licence, those under which a shop may run and pass on the service.
# LGPL: the database driver, used as a library and left as it is.
ALLOWED = {
    "0BSD",
    "Apache Software License",
    "Apache-2.0",
    "BSD License",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "CC0-1.0",
    "ISC License (ISCL)",
    "LGPL-3.0-only",
    "MIT",
    "MIT License",
    "MIT-0",
    "MIT-CMU",
    "MPL-2.0",
    "PSF-2.0",
    "Zlib",
}


def plain(name):
    return re.sub(r"[-_.]+", "-", name).lower()


def locked():
    """Name and version of every package that serves on Python 3.11.3 or newer, each with its hashes in the lock."""
    pins = {}
    for entry in re.split(r"\n(?=[\w.-]+==)", (DOCKER / "requirements.txt").read_text())[1:]:
        pin = Requirement(entry.split(" \\\n")[0])
        assert "--hash=sha256:" in entry, pin
        if pin.marker is None or pin.marker.evaluate({"python_full_version": "3.11.3"}):
            pins[plain(pin.name)] = str(pin.specifier).removeprefix("==")
    return pins


def test_the_bill_of_materials_has_every_locked_package_in_its_version():
    parts = json.loads((DOCKER / "sbom.json").read_text())["components"]
    assert locked() == {plain(part["name"]): part["version"] for part in parts}


def licences_of(words):
    parts = (part.removeprefix("(") for part in re.split(r" AND | OR |; ", words))
    return {part if "(" in part else part.removesuffix(")") for part in parts}


def test_every_package_has_a_licence_under_which_the_service_may_be_run():
    rows = list(csv.DictReader((DOCKER / "licences.csv").read_text().splitlines()))
    assert locked() == {plain(row["Name"]): row["Version"] for row in rows}
    for row in rows:
        assert licences_of(row["License"]) <= ALLOWED, row
