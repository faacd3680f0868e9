"""Build twice as differently as one machine can, and compare every byte that goes out."""

import hashlib
import io
import json
import os
import shutil
import subprocess
import sys
import tempfile
import zipfile
from dataclasses import dataclass
from pathlib import Path

from . import building, environment
from .base import HOME, NODE_MODULES, ROOT, Problem, step

# What a build is given as it is: the tools at their pinned versions. Never a memory image, nor
# anything else that an earlier build has left.
TOOLS = ("venv", "site.stamp", "dev.stamp", "npm.stamp")
LEFT_OUT = {".git", ".handbook", "site", "node_modules", "__pycache__", ".cache"}
ARCHIVE = "cold-fill-handbook.zip"
COURSE = {
    "id": "0123456789abcdef",
    "title": "Charge it right",
    "system": "si",
    "seed": 7,
    "pass": 60,
    "items": [
        {"kind": "page", "page": "set-the-pre-charge"},
        {"kind": "problems", "family": "pre-charge", "level": "first", "count": 2},
    ],
}
_WRITE_COURSE = (
    "import json, sys, view\n"
    "request = {'op': 'course-write', 'assignment': json.load(sys.stdin)}\n"
    "print(view.respond(json.dumps(request)))"
)


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What may differ from one builder to the next, and must not show."""

    folder: str
    umask: int
    age: int  # [s] of the sources, since 1970
    backwards: bool  # the order in which files are put into a folder
    variables: dict


ONE = Surroundings(
    "a",
    0o022,
    1_000_000_000,
    False,
    {"TZ": "Pacific/Kiritimati", "LC_ALL": "C.UTF-8", "PYTHONHASHSEED": "1", "USER": "one"},
)
OTHER = Surroundings(
    "another, with a longer name",
    0o077,
    1_700_000_001,
    True,
    {
        "TZ": "America/St_Johns",
        # Python would otherwise take UTF-8 for text on its own.
        "LC_ALL": "C",
        "PYTHONCOERCECLOCALE": "0",
        "PYTHONUTF8": "0",
        "PYTHONHASHSEED": "4242",
        "USER": "other",
        "COLUMNS": "41",
    },
)


def tree_files(root):
    """Return the paths of the files that make up the project, as git knows them if it can."""
    told = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"],
        cwd=root,
        capture_output=True,
    )
    if told.returncode == 0:
        names = {Path(name) for name in told.stdout.decode().split("\0") if name}
    else:
        names = {
            path.relative_to(root)
            for path in root.rglob("*")
            if not LEFT_OUT & set(path.relative_to(root).parts)
        }
    return sorted(name for name in names if (root / name).is_file())


def _linked(source, target):
    """Put a tool into a tree. The path is what has to differ; its bytes would take a gigabyte."""
    try:
        os.link(source, target, follow_symlinks=False)
    except OSError:
        shutil.copy2(source, target, follow_symlinks=False)


def _lay_out(target, around):
    """Make a fresh tree: the project's files, and the tools."""
    for name in sorted(tree_files(ROOT), reverse=around.backwards):
        path = target / name
        path.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(ROOT / name, path)
        path.chmod((ROOT / name).stat().st_mode & 0o777 & ~around.umask)
        os.utime(path, (around.age, around.age))
    (target / ".handbook").mkdir()
    for name in TOOLS:
        source = HOME / name
        if source.is_dir():
            shutil.copytree(
                source, target / ".handbook" / name, symlinks=True, copy_function=_linked
            )
        elif source.exists():
            shutil.copy2(source, target / ".handbook" / name)
    shutil.copytree(NODE_MODULES, target / "node_modules", symlinks=True, copy_function=_linked)


def _variables(around, home):
    """Return the variables of a builder: its own, and nothing of ours that Python or Node obeys."""
    ours = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("PYTHON", "NODE_", "npm_", "LC_", "HANDBOOK_"))
    }
    return {
        **ours,
        **around.variables,
        "HOME": str(home),
        # The time of the last change is part of what is built.
        "SOURCE_DATE_EPOCH": building.source_time(),
    }


def _asked(command, around, tree, home, given=None):
    done = subprocess.run(
        [str(word) for word in command],
        cwd=tree,
        env=_variables(around, home),
        umask=around.umask,
        input=given,
        capture_output=True,
    )
    if done.returncode:
        said = (done.stdout + done.stderr).decode(errors="replace")[-3000:]
        raise Problem(f"The build in “{around.folder}” failed:\n{said}")
    return done.stdout


def _course(around, tree, home):
    """Write a course package of the tree's site, as a trainer's browser does."""
    inside = tree / python_of_tree()
    written = _asked([inside, "-c", _WRITE_COURSE], around, tree, home, json.dumps(COURSE).encode())
    task = {
        "text": json.loads(written)["text"],
        "title": COURSE["title"],
        "pass": COURSE["pass"],
    }
    _asked(
        [
            tree / environment.node().relative_to(ROOT),
            tree / "tests" / "browser" / "make_course.mjs",
            tree / "site",
            tree / ".handbook" / "course.zip",
        ],
        around,
        tree,
        home,
        json.dumps(task).encode(),
    )
    return tree / ".handbook" / "course.zip"


def python_of_tree():
    """Return the place of the environment's Python in any tree."""
    return environment.python().relative_to(ROOT)


def outcome(around, place):
    """Build in a fresh tree. Return {name: bytes} of all that goes out."""
    tree, home = place / around.folder / "tree", place / around.folder / "home"
    tree.mkdir(parents=True)
    home.mkdir()
    _lay_out(tree, around)
    _asked([sys.executable, "scripts/handbook.py", "zip"], around, tree, home)
    found = {
        f"site/{path.relative_to(tree / 'site').as_posix()}": path.read_bytes()
        for path in sorted((tree / "site").rglob("*"))
        if path.is_file()
    }
    found[ARCHIVE] = (tree / ".handbook" / ARCHIVE).read_bytes()
    found["course.zip"] = _course(around, tree, home).read_bytes()
    return found


def differences(one, other):
    """Return a sentence for each file that is not the same in both."""
    told = []
    for name in sorted(one.keys() | other.keys()):
        if name not in one or name not in other:
            told.append(f"{name} is in one of the builds only.")
        elif one[name] != other[name]:
            told.append(_difference(name, one[name], other[name]))
    return told


def _difference(name, one, other):
    inner = _inner(one), _inner(other)
    if all(inner) and inner[0] != inner[1]:
        within = [
            part
            for part in inner[0].keys() | inner[1].keys()
            if inner[0].get(part) != inner[1].get(part)
        ]
        return f"{name} differs in {', '.join(sorted(within)[:6])}."
    at = next(
        (place for place, (a, b) in enumerate(zip(one, other, strict=False)) if a != b),
        min(len(one), len(other)),
    )
    before, after = one[max(0, at - 20) : at + 30], other[max(0, at - 20) : at + 30]
    return f"{name} differs at byte {at}: {before!r} and {after!r}."


def _inner(content):
    """Return {name: (stamp, bytes)} of an archive, and nothing for any other file."""
    if not content.startswith(b"PK\x03\x04"):
        return {}
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        return {
            entry.filename: (entry.date_time, entry.external_attr, archive.read(entry))
            for entry in archive.infolist()
        }


def sum_of_all(found):
    """Return one sha256 that stands for every name and every byte."""
    lines = (f"{hashlib.sha256(found[name]).hexdigest()}  {name}\n" for name in sorted(found))
    return hashlib.sha256("".join(lines).encode()).hexdigest()


def reproduce():
    """Build twice, and say whether anything differs. Return the exit code."""
    environment.ready(dev=True)
    with tempfile.TemporaryDirectory(prefix="cold-fill-") as made:
        place, found = Path(made), []
        for around in (ONE, OTHER):
            settings = " ".join(f"{name}={value}" for name, value in around.variables.items())
            with step(f"Building in a fresh tree (umask {around.umask:03o}, {settings})"):
                found.append(outcome(around, place))
    told = differences(*found)
    if told:
        print("\n".join(told))
        print(f"\n{len(told)} of {len(found[0] | found[1])} files differ.")
        return 1
    print(
        f"\nAll {len(found[0])} files are the same in both builds, byte for byte: the site, the "
        f"archive with its server, a course package.\nsha256 over all of them: "
        f"{sum_of_all(found[0])}"
    )
    return 0
