"""Run the tests that need nothing but pytest and Pint on every Python the handbook supports."""

import os
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

from . import building, environment, testing
from .base import HOME, Problem

VERSIONS = [f"3.{minor}" for minor in range(environment.OLDEST[1], environment.NEWEST[1] + 1)]
TESTS = (
    *("tests", "calc", "view", "--doctest-modules", "--ignore=tests/browser"),
    *("-m", "not native and not site and not browser", "-q", "-p", "no:cacheprovider"),
)


@dataclass(frozen=True)
class Found:
    """A Python that answers: what is typed to start it, and its full version."""

    path: str
    full: str

    @property
    def version(self):
        return ".".join(self.full.split(".")[:2])


def asked(path):
    """Return a Found for a program that says it is a CPython, or None: a shim may only complain."""
    code = "import platform; print(platform.python_implementation(), platform.python_version())"
    try:
        done = subprocess.run(
            [str(path), "-c", code], capture_output=True, text=True, timeout=60, check=False
        )
    except (OSError, subprocess.TimeoutExpired):
        return None
    words = done.stdout.split()
    if done.returncode or len(words) != 2 or words[0] != "CPython":
        return None
    return Found(str(path), words[1])


def on_path(version):
    """Return the first Python of a version on PATH that answers, or None."""
    for folder in os.environ.get("PATH", "").split(os.pathsep):
        program = shutil.which(f"python{version}", path=folder) if folder else None
        found = asked(program) if program else None
        if found and found.version == version:
            return found
    return None


def chosen(paths):
    """Return one Found or None for each supported version; a path that is given goes first."""
    given = {}
    for path in paths:
        found = asked(path)
        if not found:
            raise Problem(
                f"{path} does not answer as a CPython. Give the path of a python3 program."
            )
        if found.version not in VERSIONS:
            raise Problem(
                f"{path} is Python {found.full}. The handbook supports {VERSIONS[0]} to "
                f"{VERSIONS[-1]}: give one of those."
            )
        given[found.version] = found
    return {version: given.get(version) or on_path(version) for version in VERSIONS}


def bare_packages():
    """Copy pytest, Pint and what the two need, all pure Python, to one folder. Return it."""
    target = HOME / "pythons" / "packages"
    shutil.rmtree(target, ignore_errors=True)
    target.mkdir(parents=True)
    place = environment.site_packages()
    for name in (*testing.WASM_PACKAGES, "_pytest", "py", *building.PACKAGES):
        for path in (place / name, place / f"{name}.py"):
            if path.is_dir():
                skip = shutil.ignore_patterns("__pycache__", "*.so", "*.pyd")
                shutil.copytree(path, target / name, ignore=skip)
            elif path.exists():
                shutil.copy2(path, target)
        for path in place.glob(f"{name}-*.dist-info"):
            shutil.copytree(path, target / path.name)
    return target


def _part(version, found, packages, answers, words):
    title = f"Python {version}"
    if not found:
        note = f"NOT RUN: no python{version} on PATH; give one with --python PATH"
        return testing.Part(title, 0, 0, 1, 0.0, note)
    # Without -S the tests would find what else this Python happens to have installed.
    command = [found.path, "-S", "-s", "-m", "pytest", *TESTS, *words]
    env = {
        "PYTHONPATH": str(packages),
        "PYTHONDONTWRITEBYTECODE": "1",
        "HANDBOOK_BARE_PYTHON": "1",
        "HANDBOOK_ANSWERS": str(answers),
    }
    part = testing._part(f"{title} ({found.full})", command, testing.pytest_counts, env=env)
    part.note = part.note or str(Path(found.path))
    return part


def run(paths=(), *, words=(), required=()):
    """Run the tests on each Python; say which were not there. Return the exit code."""
    environment.ready(dev=True, npm=False)
    packages = bare_packages()
    found = chosen(paths)
    answers = testing.native_answers()
    parts = [_part(version, one, packages, answers, words) for version, one in found.items()]
    testing.summary(parts, sum(part.seconds for part in parts))
    missing = [version for version in found if not found[version]]
    if missing:
        print(f"Not run, and so not passed: Python {', '.join(missing)}.")
    if any(part.passed for part in parts):
        return int(any(part.failed for part in parts) or bool(set(missing) & set(required)))
    return 1
