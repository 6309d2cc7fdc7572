"""Writes the size adviser as one file, for a shop that would rather host one. Standard library only.

`python3 demo/one_adviser.py de fr > size-adviser.js`: its modules one after the other, each after those that it needs,
and the words of the languages named, of all where none is; the first is spoken where the visitor's is not among them.
"""

# ruff: noqa: INP001, T201  a script of the demo, which prints what it makes

from __future__ import annotations

import json
import re
import sys
from pathlib import Path

SHOP = Path(__file__).parent / "shop"
WORDS = SHOP / "adviser" / "words"
IMPORT = re.compile(r'^import (\{.+\}) from "(.+)";$', re.MULTILINE)
EXPORT = re.compile(r"^export ((?:async )?(?:const|function|class) (\w+))", re.MULTILINE)
LANGUAGES = re.compile(r"const LANGUAGES = (.+);")
TABLES = "const TABLES = {};"


def one_adviser(languages: list[str]) -> str:
    """The adviser as one module, which asks for no other file. ValueError where a language has no words here."""
    modules: dict[Path, str] = {}
    _add(SHOP / "size-adviser.js", modules)
    whole = "\n".join(modules.values())
    known = json.loads(LANGUAGES.search(whole)[1])  # type: ignore[index]  # a test makes the file
    if unknown := sorted(set(languages) - set(known)):
        raise ValueError(f"No words for {', '.join(unknown)}; there are some for {', '.join(known)}.")
    spoken = languages or known
    tables = {each: json.loads((WORDS / f"{each}.json").read_text("utf-8")) for each in spoken}
    whole = LANGUAGES.sub(lambda _: f"const LANGUAGES = {json.dumps(spoken)};", whole)
    return whole.replace(TABLES, f"const TABLES = {json.dumps(tables, ensure_ascii=False)};")


def _add(path: Path, modules: dict[Path, str]) -> None:
    """Put a module after those that it needs, as what a function gives: names of its own stay its own."""
    if path in modules:
        return
    text = path.read_text("utf-8")
    for _, needed in IMPORT.findall(text):
        _add((path.parent / needed).resolve(), modules)
    given = ", ".join(name for _, name in EXPORT.findall(text))
    body = EXPORT.sub(r"\1", IMPORT.sub(lambda found: f"const {found[1]} = {_name(Path(found[2]))};", text))
    modules[path] = f"const {_name(path)} = (() => {{\n{body}return {{ {given} }};\n}})();\n"


def _name(path: Path) -> str:
    return f"{path.stem.replace('-', '_')}_module"


def main() -> None:
    """Print it; say what is wrong with a language and end with 2."""
    try:
        sys.stdout.write(one_adviser(sys.argv[1:]))
    except ValueError as wrong:
        print(wrong, file=sys.stderr)
        raise SystemExit(2) from None


if __name__ == "__main__":
    main()
