"""What a contract takes away from those who rely on the one before: the rules of openapi/README.md, "What may change".

    python -m tests.contract.breaking            says what the contract breaks of the last release; exit 1 if anything
    python -m tests.contract.breaking --release  keeps the contract as the last release

Rules of our own over two documents: the tools that compare contracts either know no OpenAPI 3.1 or fetch a program
from a release page when they are installed.
"""

import json
import sys

from service.console import CONTRACT

RELEASED = CONTRACT.parent / "released.json"
METHODS = ("get", "put", "post", "delete", "patch")
# What bounds a value that comes in: the new bound must let pass all that the old one did.
LEAST, MOST = ("minimum", "minLength", "minItems"), ("maximum", "maxLength", "maxItems")


def breaking(old, new):
    """What `new` breaks of `old`: a line each, with where it is."""
    found = []
    for path, item in old["paths"].items():
        for method in METHODS:
            if method in item:
                there = new["paths"].get(path, {}).get(method)
                where = f"{method.upper()} {path}"
                if there is None:
                    found.append(f"{where}: the operation is gone")
                else:
                    found += Comparison(old, new, where).operation(item, new["paths"][path], method)
    return list(dict.fromkeys(found))


class Comparison:
    """One operation of two contracts."""

    def __init__(self, old, new, where):
        self._old, self._new, self._where = old, new, where
        self._seen = set()

    def operation(self, old_item, new_item, method):
        """All that this operation breaks."""
        old, new = old_item[method], new_item[method]
        yield from self._said(old["operationId"] != new["operationId"], "", "has another operationId")
        yield from self._parameters(old_item, new_item, method)
        yield from self._body(old.get("requestBody", {}), new.get("requestBody", {}))
        for status, response in old["responses"].items():
            if status < "400":
                yield from self._answer(status, response, new["responses"].get(status))

    def _parameters(self, old_item, new_item, method):
        old, new = (
            {
                (each["in"], each["name"]): each
                for each in (*item.get("parameters", []), *item[method].get("parameters", []))
            }
            for item in (old_item, new_item)
        )
        for key, before in old.items():
            yield from self._said(key not in new, key[1], "is no parameter any more")
            if key in new:
                yield from self._taken(before["schema"], new[key]["schema"], key[1])
        for key, now in new.items():
            must = now.get("required") and not old.get(key, {}).get("required")
            yield from self._said(must, key[1], "must be there now")

    def _body(self, old, new):
        yield from self._said(new.get("required") and not old.get("required"), "body", "must be there now")
        for media, part in old.get("content", {}).items():
            there = new.get("content", {}).get(media)
            yield from self._said(there is None, "body", f"is not taken as {media} any more")
            if there:
                yield from self._taken(part["schema"], there["schema"], "")

    def _answer(self, status, old, new):
        yield from self._said(new is None, status, "is not answered any more")
        if new is None:
            return
        for name in old.get("headers", {}):
            yield from self._said(name not in new.get("headers", {}), status, f"has no header {name} any more")
        for media, part in old.get("content", {}).items():
            there = new.get("content", {}).get(media)
            yield from self._said(there is None, status, f"is not served as {media} any more")
            if there:
                yield from self._given(part["schema"], there["schema"], status)

    def _taken(self, old, new, at):
        """A value of a request: whatever was taken is taken still."""
        if (pair := self._pair(old, new, at, "taken")) is None:
            return
        old, new = pair
        yield from self._said(not _kinds(old) <= _kinds(new), at, "is not taken in every type of before")
        yield from self._said(
            "enum" in new and not set(old.get("enum", ())) <= set(new["enum"]), at, "takes fewer words"
        )
        yield from self._said("enum" in new and "enum" not in old, at, "takes but a few words now")
        for names, over in ((LEAST, lambda now, before: now > before), (MOST, lambda now, before: now < before)):
            for name in names:
                tight = name in new and (name not in old or over(new[name], old[name]))
                yield from self._said(tight, at, f"is held to a tighter {name}")
        for name, part in old.get("properties", {}).items():
            there = new.get("properties", {}).get(name)
            yield from self._said(there is None, f"{at}/{name}", "is not taken any more")
            if there is not None:
                yield from self._taken(part, there, f"{at}/{name}")
        for name in new.get("required", ()):
            yield from self._said(name not in old.get("required", ()), f"{at}/{name}", "must be there now")
        if "items" in old and "items" in new:
            yield from self._taken(old["items"], new["items"], f"{at}/*")

    def _given(self, old, new, at):
        """A value of an answer: whatever was there is there still, and nothing that could not be."""
        if (pair := self._pair(old, new, at, "given")) is None:
            return
        old, new = pair
        yield from self._said(not _kinds(new) <= _kinds(old), at, "may be of another type")
        yield from self._said(
            not set(new.get("enum", ())) <= set(old.get("enum", new.get("enum", ()))), at, "may be another word"
        )
        yield from self._said("enum" in old and "enum" not in new, at, "may be any word now")
        for name, part in old.get("properties", {}).items():
            there = new.get("properties", {}).get(name)
            yield from self._said(there is None, f"{at}/{name}", "is gone")
            if there is not None:
                yield from self._given(part, there, f"{at}/{name}")
        for name in set(old.get("required", ())) - set(new.get("required", ())):
            yield from self._said(name in new.get("properties", {}), f"{at}/{name}", "may be missing now")
        if "items" in old and "items" in new:
            yield from self._given(old["items"], new["items"], f"{at}/*")

    def _pair(self, old, new, at, way):
        """Both schemas with their references followed, once for each pair of names."""
        names = (old.get("$ref"), new.get("$ref"), way)
        if names[0] and names in self._seen:
            return None
        self._seen.add(names)
        return _followed(old, self._old), _followed(new, self._new)

    def _said(self, is_broken, at, words):
        if is_broken:
            yield f"{self._where} {at} {words}".replace("  ", " ")


def _parameters_of(item, method):
    """The parameters of an operation, those of its path among them."""
    found = (*item.get("parameters", []), *item[method].get("parameters", []))
    return {(each["in"], each["name"]): each for each in found}


def _followed(schema, document):
    """A schema as it is, behind its name; of one that may be null the rest, with that noted."""
    if "$ref" in schema:
        return _followed(document["components"]["schemas"][schema["$ref"].rpartition("/")[2]], document)
    choices = [each for each in schema.get("anyOf", ()) if each != {"type": "null"}]
    if len(choices) == 1 and len(schema["anyOf"]) > 1:
        return {**_followed(choices[0], document), "may_be_null": True}
    return schema


def _kinds(schema):
    """Which types a value may have; any, where the schema does not say."""
    said = schema.get("type", [each.get("type") for each in schema.get("oneOf", ())])
    kinds = {said} if isinstance(said, str) else set(said)
    kinds |= {"null"} if schema.get("may_be_null") else set()
    if not said:
        return {"string", "null"} if None in schema.get("enum", ()) else {"string"} if "enum" in schema else {"any"}
    return kinds | ({"integer"} if "number" in kinds else set())


def main(words):
    """What the committed contract breaks of the last release, or, with --release, nothing any more."""
    if words == ["--release"]:
        RELEASED.write_bytes(CONTRACT.read_bytes())
        return 0
    found = breaking(json.loads(RELEASED.read_text("utf-8")), json.loads(CONTRACT.read_text("utf-8")))
    sys.stdout.writelines(f"{line}\n" for line in found)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
