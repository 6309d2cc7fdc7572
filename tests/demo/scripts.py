"""Scripts of the demo, loaded as modules: they lie in no package, for they are copied from there."""

import importlib.util
import sys

from tests.house import HOUSE


def demo_script(name):
    """A script of the demo, as a module of its own; what it makes is found by its name, as records need it."""
    found = importlib.util.spec_from_file_location(name, HOUSE / "demo" / f"{name}.py")
    module = importlib.util.module_from_spec(found)
    sys.modules[name] = module
    found.loader.exec_module(module)
    return module
