"""Put two common ways to the same result beside the site: plain Pyodide, and PyScript.

Both are served from the same place, with the same Python, the same packages and the same request.
"""

import base64
import hashlib
import json
import shutil
import zipfile
from pathlib import Path

from .. import building, environment
from ..base import HOME, NODE_MODULES, REQUIREMENTS, ROOT, SITE, run

FOLDER = "bench"
PAGES = {"pyodide": f"/{FOLDER}/pyodide.html", "pyscript": f"/{FOLDER}/pyscript.html"}
SOURCES = ROOT / "scripts" / "bench"
OURS = "handbook-0-py3-none-any.whl"
# The files of Pyodide that a page needs, as the package has them.
PYODIDE = ("pyodide.mjs", "pyodide.asm.mjs", "pyodide.asm.wasm", "python_stdlib.zip")


def site_with_peers(request):
    """Return a copy of the site with the peers' pages and a page without any script in it."""
    target = HOME / "bench-site"
    shutil.rmtree(target, ignore_errors=True)
    shutil.copytree(SITE, target)
    place = target / FOLDER
    shutil.copytree(SOURCES, place)
    (place / "pyodide").mkdir()
    for name in PYODIDE:
        shutil.copyfile(NODE_MODULES / "pyodide" / name, place / "pyodide" / name)
    shutil.copytree(NODE_MODULES / "@pyscript" / "core" / "dist", place / "pyscript")
    wheels = _wheels(place / "wheels")
    installer = next(name for name in wheels if name.startswith("micropip"))
    wheels.remove(installer)
    shutil.move(place / "wheels" / installer, place / "pyodide" / installer)
    _write(place / "pyodide" / "pyodide-lock.json", _lock(place / "pyodide" / installer))
    _write(place / "peer.json", {"wheels": wheels, "request": request})
    _write(
        place / "pyscript.json",
        {
            "interpreter": "./pyodide/pyodide.mjs",
            "packages": [f"./wheels/{name}" for name in wheels],
        },
    )
    return target


def _write(path, data):
    path.write_text(json.dumps(data), encoding="utf-8")


def _wheels(folder):
    """Fetch the wheels once, at the versions and hashes of the site's own lock; pack our own."""
    folder.mkdir()
    kept = HOME / "bench-wheels"
    kept.mkdir(exist_ok=True)
    wanted = kept / "wanted.txt"
    wanted.write_text(
        "".join(_locked(REQUIREMENTS / "site.txt", name) for name in building.PACKAGES)
        + _locked(REQUIREMENTS / "bench.txt", "micropip"),
        encoding="utf-8",
    )
    run(
        [
            *(environment.python(), "-m", "pip", "download", "--quiet", "--no-deps"),
            *("--disable-pip-version-check", "--require-hashes", "--only-binary=:all:"),
            *("--python-version=3.14", "--dest", kept, "-r", wanted),
        ],
        quiet=True,
        what="Fetching the wheels of the peers",
    )
    for path in kept.glob("*.whl"):
        shutil.copyfile(path, folder / path.name)
    _own_wheel(folder / OURS)
    return sorted(path.name for path in folder.glob("*.whl"))


def _locked(lock, package):
    """Return the lines of one package in a lock, its hashes included."""
    lines = lock.read_text(encoding="utf-8").splitlines(keepends=True)
    name = package.replace("_", "-")
    start = next(index for index, line in enumerate(lines) if line.startswith(f"{name}=="))
    end = start
    while lines[end].rstrip().endswith("\\"):
        end += 1
    return "".join(lines[start : end + 1])


def _own_wheel(path):
    """Pack `calc` and `view` as any project would: a wheel."""
    info = "handbook-0.dist-info"
    files = {
        name: content
        for name, content in building.package_files()
        if name.startswith(("calc/", "view/"))
    }
    files[f"{info}/METADATA"] = b"Metadata-Version: 2.1\nName: handbook\nVersion: 0\n"
    files[f"{info}/WHEEL"] = (
        b"Wheel-Version: 1.0\nGenerator: bench\nRoot-Is-Purelib: true\nTag: py3-none-any\n"
    )
    record = [f"{name},sha256={_record(content)},{len(content)}" for name, content in files.items()]
    record.append(f"{info}/RECORD,,")
    files[f"{info}/RECORD"] = "\n".join(record).encode()
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as wheel:
        for name, content in files.items():
            wheel.writestr(name, content)


def _record(content):
    digest = hashlib.sha256(content).digest()
    return base64.urlsafe_b64encode(digest).rstrip(b"=").decode()


def _lock(installer: Path):
    """Return a list of packages that holds the installer alone: nothing else can be fetched."""
    whole = json.loads((NODE_MODULES / "pyodide" / "pyodide-lock.json").read_text("utf-8"))
    entry = {
        **whole["packages"]["micropip"],
        "file_name": installer.name,
        "sha256": hashlib.sha256(installer.read_bytes()).hexdigest(),
    }
    return {"info": whole["info"], "packages": {"micropip": entry}}
