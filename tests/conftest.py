"""Settings of all tests: a Python with pytest and Pint only says aloud what it leaves out."""

import ast
import importlib.util
import os
import sys
from pathlib import Path

BARE = sys.platform == "emscripten" or bool(os.environ.get("HANDBOOK_BARE_PYTHON"))
_left_out = []


def _missing_imports(tree):
    """Return the modules that a test file imports at its top and that are not installed here."""
    missing = set()
    for node in tree.body:
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and not node.level:
            names = [node.module]
        else:
            continue
        for name in names:
            if importlib.util.find_spec(name.partition(".")[0]) is None:
                missing.add(name)
    return sorted(missing)


def _all_native(tree):
    """Return whether a test file marks all its tests as native: then its imports may fail here."""
    marks = [
        node.value
        for node in tree.body
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "pytestmark"
    ]
    return any("pytest.mark.native" in ast.unparse(mark) for mark in marks)


def pytest_ignore_collect(collection_path, config):
    if not (BARE and collection_path.suffix == ".py"):
        return None
    if collection_path.name == "conftest.py":
        return None
    tree = ast.parse(collection_path.read_text(encoding="utf-8"))
    missing = _missing_imports(tree)
    if missing or _all_native(tree):
        why = f"needs {', '.join(missing)}" if missing else "all of it is marked native"
        _left_out.append((Path(collection_path).name, why))
        return True
    return None


def pytest_terminal_summary(terminalreporter):
    # A file that is left out is said aloud: the full environment has it, this one does not.
    for name, why in _left_out:
        terminalreporter.write_line(f"left to the full environment: {name} ({why})")
