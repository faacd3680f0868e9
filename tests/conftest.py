"""Settings of all tests: what the browser's Python cannot run, it leaves to the native run."""

import ast
import importlib.util
import sys
from pathlib import Path

IN_BROWSER_PYTHON = sys.platform == "emscripten"
_left_out = []


def _missing_imports(path):
    """Return the modules that a test file imports at its top and that are not installed here."""
    missing = set()
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
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


def pytest_ignore_collect(collection_path, config):
    if not (IN_BROWSER_PYTHON and collection_path.suffix == ".py"):
        return None
    if collection_path.name == "conftest.py":
        return None
    missing = _missing_imports(collection_path)
    if missing:
        _left_out.append((Path(collection_path).name, missing))
        return True
    return None


def pytest_terminal_summary(terminalreporter):
    # A file that is left out is said aloud: the native run has it, this one does not.
    for name, missing in _left_out:
        terminalreporter.write_line(f"left to the native run: {name} (needs {', '.join(missing)})")
