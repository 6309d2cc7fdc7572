"""A Dockerfile's own steps, walked without a container engine: each stage in a folder of its own.

The image's paths stand for folders below the stage's: `/srv/fitting` and `/usr/local`, which hold all that the steps
touch. The image's Python is a copy of the one that runs the tests.
"""

import json
import os
import re
import shlex
import shutil
import subprocess
import sys
import sysconfig
from dataclasses import dataclass, field
from pathlib import Path

from tests.house import HOUSE

PATHS = ("/srv/fitting", "/usr/local")


def instructions(path):
    """Each instruction as its word and the rest, lines joined, comments left out."""
    lines = [line for line in path.read_text("utf-8").splitlines() if line.strip() and not line.startswith("#")]
    joined = "\n".join(lines).replace("\\\n", " ")
    return [(line.split(None, 1)[0], line.split(None, 1)[1].strip()) for line in joined.splitlines()]


@dataclass
class Stage:
    """What a stage has come to: its folder, where it works, its environment, its user and what it runs."""

    root: Path
    place: str = "/"
    environment: dict = field(default_factory=dict)
    user: str = "0"
    command: list = field(default_factory=list)
    health: list = field(default_factory=list)

    def here(self, text):
        """Text of the image with its paths as they are here."""
        for path in PATHS:
            text = re.sub(rf"(?<![\w.-]){re.escape(path)}(?=/|:|\s|\"|$)", f"{self.root}{path}", text)
        return text

    @property
    def folder(self):
        return Path(self.here(self.place))

    def surroundings(self, **more):
        local = f"{self.root}/usr/local"
        kept = {"HOME": str(self.root), "LANG": "C.UTF-8", "PATH": f"{local}/bin:/usr/bin:/bin"}
        kept["LD_LIBRARY_PATH"] = f"{local}/lib"
        for name, value in self.environment.items():
            kept[name] = self.here(value).replace("$PATH", kept["PATH"])
        return kept | more


def built(folder, dockerfile):
    """Walk the steps; gives the last stage."""
    stages, stage = {}, None
    for word, rest in instructions(dockerfile):
        if word == "FROM":
            stage = Stage(folder / f"stage-{len(stages)}")
            stages[rest.partition(" AS ")[2] or len(stages)] = stage
            _base(stage)
        elif word == "ENV":
            stage.environment |= dict(each.split("=", 1) for each in shlex.split(rest))
        elif word == "WORKDIR":
            stage.place = rest
            stage.folder.mkdir(parents=True, exist_ok=True)
        elif word == "COPY":
            _copy(stage, stages, rest.split())
        elif word == "RUN":
            subprocess.run(stage.here(rest), shell=True, cwd=stage.folder, env=_quickly(stage), check=True)
        elif word == "USER":
            stage.user = rest
        elif word == "HEALTHCHECK":
            stage.health = json.loads(rest.partition("CMD")[2])
        elif word == "CMD":
            stage.command = json.loads(rest)
        else:
            assert word == "EXPOSE", f"{word} is not walked"
    return stage


def _base(stage):
    """What the image begins with: a Python below /usr/local, with the packages that come with it."""
    local = stage.root / "usr/local"
    (local / "bin").mkdir(parents=True)
    shutil.copy2(Path(sys.executable).resolve(), local / "bin/python3.11")
    (local / "bin/python").symlink_to("python3.11")
    (local / "bin/pip3").touch()
    (local / "lib").mkdir()
    for library in Path(sysconfig.get_config_var("LIBDIR") or "/").glob("libpython3*.so*"):
        shutil.copy2(library, local / "lib", follow_symlinks=False)
    left_out = shutil.ignore_patterns("test", "tests", "idlelib", "__pycache__", "site-packages", "config-*")
    shutil.copytree(sysconfig.get_path("stdlib"), local / "lib/python3.11", ignore=left_out, symlinks=True)
    (local / "lib/python3.11/site-packages/pip").mkdir(parents=True)


def _copy(stage, stages, words):
    """As .dockerignore lets it; from another stage, the paths inside scripts go along."""
    source = next((word.partition("=")[2] for word in words if word.startswith("--from=")), None)
    what, to = [word for word in words if not word.startswith("--")]
    goal = Path(stage.here(to)) if to.startswith("/") else stage.folder / to
    if source:
        other = stages[source]
        shutil.copytree(other.here(what), goal, symlinks=True, dirs_exist_ok=True)
        # In an image both stages have the same paths; here each has its own.
        for path in [
            *goal.glob(".venv/bin/*"),
            *goal.glob(".venv/lib/*/site-packages/*edit*"),
            goal / ".venv/pyvenv.cfg",
        ]:
            if path.is_file() and not path.is_symlink():
                text = path.read_bytes()
                path.write_bytes(text.replace(str(other.root).encode(), str(stage.root).encode()))
        for link in goal.glob(".venv/bin/python*"):
            aim = str(link.readlink())
            link.unlink()
            link.symlink_to(aim.replace(str(other.root), str(stage.root)))
        return
    allowed = [line[1:] for line in (HOUSE / ".dockerignore").read_text().splitlines() if line.startswith("!")]
    assert any(what == each or what.startswith(f"{each}/") for each in allowed), f"{what} is kept out of the build"
    if (HOUSE / what).is_dir():
        shutil.copytree(HOUSE / what, goal, ignore=shutil.ignore_patterns("__pycache__"))
    else:
        goal = goal / Path(what).name if to.endswith("/") else goal
        goal.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy2(HOUSE / what, goal)


def _quickly(stage):
    """The stage's environment with the machine's way to the package index, and its cache."""
    passed = {
        name: value for name, value in os.environ.items() if name.startswith(("PIP_", "SSL_", "REQUESTS_", "HTTP"))
    }
    home = {"HOME": os.environ.get("HOME", "/")}
    without = {name: value for name, value in stage.surroundings().items() if name != "PIP_NO_CACHE_DIR"}
    return passed | without | home
