"""What a docstring promises to refuse with can come of that function, and every refusal is met by some test.

Read from the source: which functions one refers to, as its module imports them, and which codes stand in them.
"""

import ast
import re
from dataclasses import dataclass, field
from functools import cache

from service.http.refusals.words import WORDS
from tests.house import HOUSE, MODULES

PROMISE = re.compile(r"Raises (?:Refusal )?(`.*?)(?:\.(?:\s|$)|\Z)", re.DOTALL)
OF_PYTHON = {name for kind in (dict, list, set, str, tuple, bytes) for name in dir(kind)}
# What is refused, or what a refusal says of it, where a docstring sets that in quotes too.
PARTS = {"at", "earliest", "earliest_rush", "needed_by", "parts", "unit", "value"}
QUOTED = re.compile(r"`([A-Za-z_.]+)`")


@dataclass
class Function:
    """A function, or a class with all that is in it: the codes that stand in it, and what it refers to."""

    name: str
    docstring: str
    codes: set[str] = field(default_factory=set)
    refers_to: set[str] = field(default_factory=set)


def module_name(path):
    parts = path.relative_to(HOUSE).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


class Reader(ast.NodeVisitor):
    """One module's functions, as "module:name" and "module:Class.name", and its values at the top, as "module:NAME"."""

    def __init__(self, module):
        self.module, self.functions = module, {}
        self._imported, self._inside = {}, [Function("", "")]
        self._class = ""

    def read(self, tree):
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom) and node.module:
                for alias in node.names:
                    self._imported[alias.asname or alias.name] = (node.module, alias.name)
        for node in tree.body:
            if isinstance(node, ast.Assign | ast.AnnAssign) and node.value is not None:
                for target in node.targets if isinstance(node, ast.Assign) else [node.target]:
                    self._within(Function(f"{self.module}:{ast.unparse(target)}", ""), node.value)
            else:
                self.visit(node)
        return self.functions

    def _within(self, function, *nodes):
        self.functions[function.name] = function
        self._inside.append(function)
        for node in nodes:
            self.visit(node)
        self._inside.pop()

    def visit_FunctionDef(self, node):
        name = f"{self.module}:{self._class}{node.name}"
        # Who makes a value comes to what makes it, and to its other methods where he calls them.
        if not self._class or node.name.startswith("__"):
            self._inside[-1].refers_to.add(name)
        # Its annotations say what may come, and are not come to.
        body = [*node.decorator_list, *node.args.defaults, *filter(None, node.args.kw_defaults), *node.body]
        self._within(Function(name, ast.get_docstring(node) or ""), *body)

    def visit_ClassDef(self, node):
        whole = Function(f"{self.module}:{node.name}", ast.get_docstring(node) or "")
        before, self._class = self._class, f"{node.name}."
        self._within(whole, *node.body)
        self._class = before

    def visit_AnnAssign(self, node):
        if node.value is not None:
            self.visit(node.value)

    def visit_Constant(self, node):
        if isinstance(node.value, str) and node.value in WORDS:
            self._inside[-1].codes.add(node.value)

    def visit_Name(self, node):
        module, name = self._imported.get(node.id, (self.module, node.id))
        self._inside[-1].refers_to |= {f"{module}:{name}", f"{module}.{name}"}

    def visit_Attribute(self, node):
        if isinstance(node.value, ast.Name) and node.value.id in self._imported:
            self._inside[-1].refers_to.add(f"{'.'.join(self._imported[node.value.id])}:{node.attr}")
        # A method, of whatever class; what is also a dict's or a text's says nothing.
        if node.attr not in OF_PYTHON:
            self._inside[-1].refers_to.add(f".{node.attr}")
        self.visit(node.value)


@cache
def functions():
    found = {}
    for path in MODULES:
        found |= Reader(module_name(path)).read(ast.parse(path.read_text("utf-8")))
    return found


@cache
def methods():
    by_name = {}
    for name in functions():
        if "." in name.partition(":")[2]:
            by_name.setdefault(f".{name.rpartition('.')[2]}", []).append(name)
    return by_name


@cache
def in_reach_of(start):
    """Every code that stands in a function, or in one that it comes to."""
    seen, waiting = set(), [start]
    while waiting:
        name = waiting.pop()
        if name in seen or name not in functions():
            continue
        seen.add(name)
        for to in functions()[name].refers_to:
            waiting += methods().get(to, [to])
    return frozenset().union(*(functions()[name].codes for name in seen))


def promised(docstring):
    return {quoted for promise in PROMISE.findall(docstring) for quoted in QUOTED.findall(promise)}


def promises():
    """Every function with each word that its docstring sets in quotes where it says what it refuses with."""
    return [(name, word) for name, each in functions().items() for word in sorted(promised(each.docstring))]


def test_what_a_docstring_promises_to_refuse_with_is_a_code_or_a_function_that_says_more():
    names = {name.rpartition(":")[2].rpartition(".")[2] for name in functions()} | PARTS
    assert [] == [
        (name, word) for name, word in promises() if word not in WORDS and word.rpartition(".")[2] not in names
    ]


def test_what_a_docstring_promises_to_refuse_with_can_come_of_its_function():
    kept = [(name, word) for name, word in promises() if word in WORDS]
    assert len(kept) > 100
    assert [] == [(name, word) for name, word in kept if word not in in_reach_of(name)]


def test_a_promise_that_nothing_keeps_would_be_found():
    source = """
from service.tailoring.refusals import Refusal

def inner():
    raise Refusal("not_found")

def outer():
    "One. Raises Refusal `not_found`, or `key_unknown` where `given` is wrong. Then `version_stale`."
    return inner()
"""
    read = Reader("service.made_up").read(ast.parse(source))
    assert {"not_found", "key_unknown", "given"} == promised(read["service.made_up:outer"].docstring)
    assert {"not_found"} == read["service.made_up:inner"].codes
    assert "service.made_up:inner" in read["service.made_up:outer"].refers_to
    assert "key_unknown" not in read["service.made_up:inner"].codes | read["service.made_up:outer"].codes


def test_every_refusal_is_met_by_some_test():
    met = set()
    for path in (HOUSE / "tests").rglob("test_*.py"):
        if "node_modules" in path.parts or path.name == "test_refusals.py":
            continue
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Constant) and node.value in WORDS:
                met.add(node.value)
    assert set() == WORDS.keys() - met
