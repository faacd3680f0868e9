"""Look through what the book is made of: locks, tools, licences, files, addresses, known faults.

Each part returns what it found, in sentences. What could not be asked is never told as sound.
"""

import base64
import gzip
import hashlib
import importlib.metadata
import io
import json
import os
import re
import subprocess
import tarfile
import zipfile
from collections import Counter
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from . import addresses, building, environment, licences, policy
from .base import HOME, NODE_MODULES, REQUIREMENTS, ROOT, SITE, Problem

SOUND, WRONG, UNASKED = "sound", "WRONG", "not asked"
# They come with Python itself, and are no part of any lock.
PYTHONS_OWN = {"pip", "setuptools"}
# What the build writes anew. `reproduce` shows that the same sources make the same bytes of it.
MADE = {
    "sitemap.xml": "the list of pages",
    "sw.js": "the service worker, with Workbox inside",
    "search/search_index.json": "how the search takes words",
    "search/words.json": "the words of the pages",
    "assets/book.json": "titles and addresses",
    "assets/files.json": "the list of files",
    "assets/engine/engine.json": "the list of the engine's files",
    "assets/engine/precache.json": "the size of the offline copy",
    "assets/edition.json": "the edition and its files",
    f"assets/engine/{building.IMAGE}": "the memory image of the engine",
    "assets/images/favicon.png": "the theme's, never shown",
}


@dataclass
class Part:
    """One part of the audit: what was looked at, and each thing that is not as it should be."""

    name: str
    words: str = ""
    wrong: list = field(default_factory=list)
    unasked: str = ""

    @property
    def state(self):
        return WRONG if self.wrong else UNASKED if self.unasked else SOUND


def _plain(name):
    return re.sub(r"[-_.]+", "-", name).lower()


def python_pins(lock):
    """Return ({name: (version, always)}, faults) of a Python lock."""
    pins, wrong = {}, []
    text = re.sub(r"\\\n", " ", lock.read_text(encoding="utf-8"))
    for line in text.splitlines():
        line = line.strip()
        if not line or line.startswith("#"):
            continue
        found = re.match(r"([A-Za-z0-9._-]+)==([^\s;]+)\s*(;.*?)?((?:\s+--hash=\S+)*)$", line)
        if not found:
            wrong.append(f"{lock.name}: {line[:80]!r} is no exact version with hashes.")
            continue
        name, version, marker, hashes = found.groups()
        every = hashes.split()
        if not every or not all(re.fullmatch(r"--hash=sha256:[0-9a-f]{64}", one) for one in every):
            wrong.append(f"{lock.name}: {name} has no sha256.")
        pins[_plain(name)] = (version, marker is None)
    return pins, wrong


def python_locks():
    """Look whether each pinned Python package has a hash, and no lock names a host."""
    part = Part("Python locks")
    count = 0
    for lock in sorted(REQUIREMENTS.glob("*.txt")):
        pins, wrong = python_pins(lock)
        count += len(pins)
        part.wrong += wrong
        if re.search(r"https?:|--(extra-)?index-url|--find-links", lock.read_text("utf-8")):
            part.wrong.append(f"{lock.name} names a host.")
    part.words = f"{count} pins, each an exact version with sha256"
    return part


def npm_lock(root=ROOT):
    """Look whether each npm package has an integrity, and none comes from a host of its own."""
    part = Part("npm lock")
    packages = json.loads((root / "package-lock.json").read_text(encoding="utf-8"))["packages"]
    for name, told in packages.items():
        if not name:
            continue
        if not re.fullmatch(r"sha512-[A-Za-z0-9+/]{86}==", told.get("integrity", "")):
            part.wrong.append(f"{name} has no sha512.")
        if "resolved" in told or told.get("link"):
            part.wrong.append(f"{name} names where it comes from.")
    part.words = f"{len(packages) - 1} packages, each with sha512"
    return part


def installed_python(place=None):
    """Compare what is installed with the locks, and each file with what its package says of it."""
    part = Part("installed Python packages")
    place = place or environment.site_packages()
    wanted, _ = python_pins(REQUIREMENTS / "site.txt")
    pins, dev = wanted, HOME / "dev.stamp"
    if dev.exists():
        pins, _ = python_pins(REQUIREMENTS / "dev.txt")
    found, files, known = {}, 0, set()
    for package in importlib.metadata.distributions(path=[str(place)]):
        name = _plain(package.metadata["Name"])
        found[name] = package.version
        if name not in PYTHONS_OWN:
            if name not in pins:
                part.wrong.append(f"{name} {package.version} is installed and in no lock.")
            elif pins[name][0] != package.version:
                part.wrong.append(f"{name} is {package.version}, not {pins[name][0]}.")
        for file in package.files or ():
            path = Path(os.path.normpath(file.locate()))
            known.add(path)
            if file.hash is None:
                continue
            files += 1
            part.wrong += _changed(name, file, path)
    part.wrong += [
        f"{name} is in the lock and not installed."
        for name, (_, always) in wanted.items()
        if always and name not in found
    ]
    part.wrong += [
        f"{path.relative_to(place)} belongs to no package."
        for path in sorted(place.rglob("*"))
        if path.is_file() and path not in known and "__pycache__" not in path.parts
    ]
    part.words = f"{len(found)} packages as locked, {files} files as recorded"
    return part


def _changed(name, file, path):
    if not path.is_file():
        return [f"{name}: {file} is missing."]
    digest = hashlib.new(file.hash.mode, path.read_bytes()).digest()
    made = base64.urlsafe_b64encode(digest).rstrip(b"=").decode()
    return [] if made == file.hash.value else [f"{name}: {file} was changed."]


def npm_cache():
    """Return the folder of the archives that npm keeps, named by their hash; or None."""
    told = subprocess.run(
        [environment.node(), environment.npm_script(), "config", "get", "cache"],
        cwd=ROOT,
        env={**os.environ, **environment.node_environment()},
        capture_output=True,
        text=True,
    )
    place = Path(told.stdout.strip()) / "_cacache" / "content-v2"
    return place if told.returncode == 0 and place.is_dir() else None


def archive_of(integrity, cache):
    """Return a kept archive whose bytes have the integrity, or None."""
    mode, _, value = integrity.partition("-")
    digest = base64.b64decode(value)
    name = digest.hex()
    path = cache / mode / name[:2] / name[2:4] / name[4:] if cache else None
    if not path or not path.is_file():
        return None
    content = path.read_bytes()
    return content if hashlib.new(mode, content).digest() == digest else None


def _as_npm_unpacks(name, content, programs):
    """Return name and bytes as npm writes them: one file renamed, first lines mended."""
    folder, _, last = name.rpartition("/")
    if last == ".gitignore":
        name = f"{folder}/.npmignore" if folder else ".npmignore"
    if name in programs:
        content = re.sub(rb"\A(#![^\n]+)\r\n", rb"\1\n", content)
    return name, content


def _programs(folder):
    """Return the files of a package that npm makes into commands."""
    told = json.loads((folder / "package.json").read_text(encoding="utf-8")).get("bin") or {}
    found = [told] if isinstance(told, str) else told.values()
    return {name.removeprefix("./") for name in found}


def _unpacked_differs(name, folder, content):
    """Compare an installed npm package with its archive, file by file."""
    wrong, listed, programs = [], set(), _programs(folder)
    with tarfile.open(fileobj=io.BytesIO(content)) as archive:
        for entry in archive:
            inner = entry.name.partition("/")[2]
            if not entry.isfile() or not inner:
                continue
            given = archive.extractfile(entry).read()
            inner, given = _as_npm_unpacks(inner, given, programs)
            listed.add(inner)
            path = folder / inner
            if not path.is_file():
                wrong.append(f"{name}: {inner} is missing.")
            elif path.read_bytes() != given:
                wrong.append(f"{name}: {inner} was changed.")
    for path in sorted(folder.rglob("*")):
        inner = path.relative_to(folder)
        if path.is_file() and "node_modules" not in inner.parts and inner.as_posix() not in listed:
            wrong.append(f"{name}: {inner.as_posix()} was added.")
    return wrong


def installed_npm(root=ROOT, cache=None):
    """Compare node_modules with the lock, and with the archives that npm has kept."""
    part = Part("installed npm packages")
    locked = json.loads((root / "package-lock.json").read_text(encoding="utf-8"))["packages"]
    cache, compared, alone, here = cache or npm_cache(), 0, [], set()
    for name, told in locked.items():
        folder = root / name
        if not name or not folder.is_dir():
            if name and not told.get("optional"):
                part.wrong.append(f"{name} is in the lock and not installed.")
            continue
        here.add(folder)
        version = json.loads((folder / "package.json").read_text(encoding="utf-8"))["version"]
        if version != told["version"]:
            part.wrong.append(f"{name} is {version}, not {told['version']}.")
        content = archive_of(told["integrity"], cache)
        if content is None:
            alone.append(name)
            continue
        compared += 1
        part.wrong += _unpacked_differs(name, folder, content)
    part.wrong += [
        f"{folder.relative_to(root)} is installed and not in the lock."
        for folder in _package_folders(root / "node_modules")
        if folder not in here
    ]
    part.words = f"{len(here)} as locked; {compared} compared with their archives, file by file"
    if alone:
        part.unasked = (
            f"{len(alone)} were not compared, because npm keeps no archive of them: "
            f"{', '.join(sorted(alone)[:4])}{' ...' if len(alone) > 4 else ''}"
        )
    return part


def _package_folders(modules):
    """Yield each folder that holds a package, nested ones too."""
    for path in sorted(modules.iterdir()) if modules.is_dir() else ():
        if path.name.startswith(".") or not path.is_dir():
            continue
        for folder in sorted(path.iterdir()) if path.name.startswith("@") else [path]:
            yield folder
            yield from _package_folders(folder / "node_modules")


def shipped_licences(root=ROOT):
    """Look whether the licence of all that goes out is one that we may pass on, with its text."""
    part = Part("licences of what goes out")
    try:
        found = licences.parts(root)
    except licences.LicenceProblem as problem:
        part.wrong.append(str(problem))
        return part
    for each in found:
        if not licences.may_go_out(each.licence):
            part.wrong.append(f"{each.name}: {each.licence} is not among those that may go out.")
        if len(each.text) < 200:
            part.wrong.append(f"{each.name}: the text of its licence is missing.")
    kinds = Counter(each.licence for each in found)
    part.words = f"{len(found)} parts: " + ", ".join(
        f"{n} {kind}" for kind, n in sorted(kinds.items())
    )
    return part


def other_licences(root=ROOT):
    """Look whether each tool names a licence. Any will do, because none of them goes out."""
    part = Part("licences of the tools")
    kinds = Counter()
    for package in importlib.metadata.distributions(path=[str(environment.site_packages())]):
        kinds[licences.said_by(package)] += 1
        if not licences.said_by(package):
            part.wrong.append(f"{package.metadata['Name']} names no licence.")
    locked = json.loads((root / "package-lock.json").read_text(encoding="utf-8"))["packages"]
    for name, told in locked.items():
        if name and not told.get("license"):
            part.wrong.append(f"{name} names no licence.")
        kinds[told.get("license")] += bool(name)
    told = ", ".join(f"{kind} {count}" for kind, count in kinds.most_common(6))
    part.words = f"{sum(kinds.values())} packages: {told} and others"
    return part


def _same(path, source):
    """Return whether a built file is its source, but for a source map and the ending of modules."""
    if not source.is_file():
        return False
    built, given = (
        re.sub(rb"\n//# sourceMappingURL=\S+\s*$", b"", one.read_bytes()).replace(b".mjs", b".js")
        for one in (path, source)
    )
    return built.strip() == given.strip()


@cache
def _own_modules():
    return building.own_modules()


@cache
def _own_styles(site):
    return building.own_styles(site)


def origin(name, path, root=ROOT, site=SITE):
    """Return where a file of the site comes from, or "" where nothing accounts for it."""
    if name in MADE:
        return "made by the build"
    if name.endswith(".html"):
        return "page"
    for source, target in building.VENDORED.items():
        if name in (target, target.replace(".mjs", ".js")):
            return "package" if _same(path, NODE_MODULES / source) else ""
    if name.startswith("assets/engine/"):
        return _engine_origin(path)
    if name.startswith("assets/js/"):
        return "ours" if path.read_bytes() == _own_modules().get(name) else ""
    if name.startswith("assets/css/") or name.endswith(".woff2"):
        return "ours" if path.read_bytes() == _own_styles(site).get(name) else ""
    if _same(path, root / "docs" / name):
        return "ours"
    theme = environment.site_packages() / "material" / "templates" / name
    return "theme" if _same(path, theme) else ""


def _engine_origin(path):
    source = NODE_MODULES / "pyodide"
    if path.name == building.PACKED_PROGRAM:
        same = gzip.decompress(path.read_bytes()) == (source / building.PROGRAM).read_bytes()
    elif path.name == "python_stdlib.zip":
        same = _entries(path).items() <= _entries(source / path.name).items()
    elif path.name == "handbook.zip":
        same = _entries(path) == dict(building.package_files())
    else:
        same = any(_same(path, source / f"{path.stem}{ending}") for ending in (".mjs", ".js"))
    return "package" if same else ""


def _entries(path):
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def provenance(site=SITE):
    """Look whether each file of the site is accounted for, byte by byte where it was copied."""
    part = Part("files of the site")
    kinds = Counter()
    for path in sorted(site.rglob("*")):
        if path.is_file():
            name = path.relative_to(site).as_posix()
            found = origin(name, path, site=site)
            kinds[found] += 1
            if not found:
                part.wrong.append(
                    f"{name} is neither ours nor what its package has. If sources were changed "
                    "since the site was built, build it again."
                )
    part.words = ", ".join(f"{count} {kind}" for kind, count in kinds.most_common() if kind)
    return part


def addresses_part(site=SITE):
    """Look for anything that would be asked of another host."""
    part = Part("addresses of other hosts")
    part.wrong = addresses.faults(site)
    part.words = (
        f"none is asked; {len(addresses.ALLOWED)} stand in names, comments and branches "
        "that never run"
    )
    return part


def policies(site=SITE):
    """Look whether every page has the one policy, and lets nothing in."""
    part = Part("policy of the pages")
    found = policy.found(site)
    count = sum(found.values())
    if len(found) != 1:
        part.wrong.append(f"{len(found)} different policies stand in {count} pages.")
    for text in found:
        part.wrong += policy.faults(text)
    part.words = f"{count} pages, one policy"
    return part


def npm_advisories():
    """Ask the registry, through npm, which known faults the locked versions have."""
    part = Part("known faults, npm")
    told = subprocess.run(
        [environment.node(), environment.npm_script(), "audit", "--json"],
        cwd=ROOT,
        env={**os.environ, **environment.node_environment()},
        capture_output=True,
        text=True,
    )
    return read_npm_audit(part, told.stdout)


def read_npm_audit(part, text):
    """Read npm's report. Anything but a whole report counts as not asked."""
    try:
        report = json.loads(text)
        faults = report["vulnerabilities"]
        total = report["metadata"]["dependencies"]["total"]
    except (ValueError, KeyError, TypeError):
        part.unasked = "npm could not reach the registry's list of known faults, or it refused"
        return part
    part.wrong = [
        f"{name}: {fault.get('severity', 'unknown')} severity, versions {fault.get('range', '?')}."
        for name, fault in sorted(faults.items())
    ]
    part.words = f"{total} packages asked about, {len(faults)} with known faults"
    return part


def python_advisories():
    """Ask which known faults the locked Python packages have, if a program for it is there."""
    part = Part("known faults, Python")
    told = subprocess.run(
        [
            environment.python(),
            *("-m", "pip_audit", "--requirement", REQUIREMENTS / "dev.txt"),
            *("--require-hashes", "--no-deps", "--format", "json"),
        ],
        cwd=ROOT,
        capture_output=True,
        text=True,
    )
    if "No module named pip_audit" in told.stderr:
        part.unasked = "pip-audit is not installed here"
        return part
    return read_pip_audit(part, told.stdout)


def read_pip_audit(part, text):
    """Read pip-audit's report. Anything but a whole report counts as not asked."""
    try:
        packages = json.loads(text)["dependencies"]
        skipped = [each["name"] for each in packages if "skip_reason" in each]
        faults = [
            (each["name"], fault["id"]) for each in packages for fault in each.get("vulns", ())
        ]
    except (ValueError, KeyError, TypeError):
        part.unasked = "pip-audit could not reach the list of known faults, or it refused"
        return part
    part.wrong = [f"{name}: {fault}." for name, fault in faults]
    part.words = f"{len(packages)} packages asked about, {len(faults)} known faults"
    if skipped or not packages:
        part.unasked = f"{len(skipped)} of {len(packages)} packages could not be asked about"
    return part


def audit(*, ask=True):
    """Print every part. Return 0 if all is sound, 1 if anything is wrong, 3 if some is unasked."""
    if not (SITE / "index.html").is_file():
        raise Problem("There is no site/ to look through. Run `python3 scripts/handbook.py build`.")
    environment.ready()
    parts = [
        make()
        for make in (
            python_locks,
            npm_lock,
            installed_python,
            installed_npm,
            shipped_licences,
            other_licences,
            provenance,
            addresses_part,
            policies,
        )
    ]
    if ask:
        parts += [npm_advisories(), python_advisories()]
    show(parts)
    print(f"\n{policy.table_text(next(iter(policy.found(SITE))))}")
    return outcome(parts)


def outcome(parts):
    """Return the exit code: anything wrong weighs more than anything left unasked."""
    states = {part.state for part in parts}
    return 1 if WRONG in states else 3 if UNASKED in states else 0


def show(parts):
    """Print a line for each part, and below it what is wrong or was not asked."""
    width = max(len(part.name) for part in parts)
    for part in parts:
        print(f"{part.name:{width}}  {part.state:9}  {part.words}")
        for words in part.wrong[:20]:
            print(f"{'':{width}}             {words}")
        if len(part.wrong) > 20:
            print(f"{'':{width}}             and {len(part.wrong) - 20} more")
        if part.unasked:
            print(f"{'':{width}}             {part.unasked}.")
