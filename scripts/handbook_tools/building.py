"""Build the whole site: pages, engine, memory image, offline cache."""

import gzip
import hashlib
import importlib.metadata
import json
import os
import re
import shutil
import subprocess
import tempfile
import time
import zipfile
from pathlib import Path

from . import environment
from .base import HOME, NODE_MODULES, ROOT, SITE, Problem, digest, locked, run, step

# When there is no history to take a time from, builds still have to be the same twice.
FIXED_TIME = "1767225600"
PORT = 8321

# The engine's own packages. Everything here is pure Python.
PACKAGES = ("pint", "flexcache", "flexparser", "platformdirs", "typing_extensions")
PROGRAM = "pyodide.asm.wasm"
# Gzip under an ending that no host knows: one that knows gzip may have it unpacked on the way.
PACKED_PROGRAM = "pyodide.asm.pack"
PYODIDE_FILES = ("pyodide.js", "pyodide.asm.js", PACKED_PROGRAM, "python_stdlib.zip")
# Parts of Python's library that nothing here can reach: other encodings than those of our own
# files, servers and mail, processes, debuggers and test runners. Left out of what is fetched.
STDLIB_LEFT_OUT = re.compile(
    r"encodings/(?!__init__|aliases|ascii|cp437|idna|latin_1|punycode|raw_unicode_escape|"
    r"unicode_escape|utf_8|utf_8_sig|utf_16|utf_32|_).*|"
    r"(_pyrepl|multiprocessing|unittest|xmlrpc|wsgiref|pydoc_data|idlelib|ensurepip|venv)/.*|"
    r"(_pyio|_pydatetime|bdb|cProfile|doctest|ftplib|imaplib|mailbox|nntplib|pdb|pickletools|poplib|"
    r"profile|pstats|pydoc|smtplib|socketserver|telnetlib|timeit|trace|turtle|webbrowser)\.pyc?"
)
IMAGE = "snapshot.pack"
FONT = "@fontsource-variable/atkinson-hyperlegible-next"
FONT_FILE = f"{FONT}/files/atkinson-hyperlegible-next-latin-wght-normal.woff2"
VENDORED = {
    f"{FONT}/LICENSE": "assets/fonts/OFL.txt",
    "workbox-window/build/workbox-window.prod.mjs": "assets/vendor/workbox-window.mjs",
    "idb/build/index.js": "assets/vendor/idb.mjs",
    "uqr/dist/index.mjs": "assets/vendor/uqr.mjs",
    "fflate/esm/browser.js": "assets/vendor/fflate.mjs",
    "fflate/LICENSE": "assets/vendor/fflate-LICENSE.txt",
}
PRECACHE_LIMIT = 25_000_000


def build(*, site=SITE, site_url=None, reuse_image=True):
    """Build the site and put it in place only when it is whole. Return some figures on it."""
    environment.ready()
    begun = time.perf_counter()
    with locked("build", "build"):
        staging = HOME / "staging"
        shutil.rmtree(staging, ignore_errors=True)
        with step("Building the pages"):
            _pages(staging, site_url or f"http://127.0.0.1:{PORT}/")
        with step("Packing the engine"):
            engine = staging / "assets" / "engine"
            _engine(engine)
            _vendored(staging)
            _rename_modules(staging)
            _lighten(staging / "assets" / "js")
        with step("Making the typeface and the theme's styles smaller"):
            _typeface(staging / "assets")
            _link_one_sheet(staging, _one_sheet(staging))
        _image(engine, reuse_image)
        with step("Listing everything for offline use"):
            _write_files(staging)
            cached = _service_worker(staging)
        if cached["bytes"] > PRECACHE_LIMIT:
            raise Problem(
                f"The offline cache would take {cached['bytes'] / 1e6:.1f} MB. The limit is "
                f"{PRECACHE_LIMIT / 1e6:.0f} MB. Make something smaller, or leave it out."
            )
        _put_in_place(staging, site)
    seconds = time.perf_counter() - begun
    print(
        f"Built {site.name}/ in {seconds:.1f} s: {cached['count']} files, "
        f"{cached['bytes'] / 1e6:.1f} MB for offline use.",
        flush=True,
    )
    return {"seconds": seconds, **cached}


def _pages(staging, site_url):
    # Without --quiet: that would hide the warnings from --strict as well.
    done = subprocess.run(
        [environment.python(), "-m", "mkdocs", "build", "--strict", "--site-dir", staging],
        cwd=ROOT,
        env={
            **os.environ,
            "HANDBOOK_SITE_URL": site_url,
            "SOURCE_DATE_EPOCH": source_time(),
            "NO_MKDOCS_2_WARNING": "1",
            "PYTHONHASHSEED": "0",
            "PYTHONPATH": str(ROOT),
        },
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
        errors="replace",
    )
    if done.returncode:
        (HOME / "pages.log").write_text(done.stdout, encoding="utf-8")
        raise Problem(
            "The pages could not be built:\n"
            + _page_errors(done.stdout)
            + "\nThe whole report is in .handbook/pages.log."
        )
    # The reader's language is English, and nobody reads source maps in a basement.
    for path in staging.rglob("*.map"):
        path.unlink()
    shutil.rmtree(staging / "assets" / "javascripts" / "lunr", ignore_errors=True)
    (staging / "sitemap.xml.gz").unlink(missing_ok=True)


def _page_errors(report):
    """Return the lines of the site generator's report that name a page and what is wrong."""
    lines = [
        line.partition("-")[2].strip() or line
        for line in report.splitlines()
        if re.match(r"(ERROR|WARNING|CRITICAL)", line) and "Material for MkDocs" not in line
    ]
    # A failure outside of a page has no such line, but always a last one.
    last = report.strip().splitlines()[-1:] if not lines else []
    return "\n".join(f"  {line}" for line in [*lines, *last])


def source_time():
    """Return the time of the last change, or the one that the caller's surroundings give."""
    if given := os.environ.get("SOURCE_DATE_EPOCH", "").strip():
        return given
    try:
        told = subprocess.run(
            ["git", "log", "-1", "--format=%ct"], cwd=ROOT, capture_output=True, text=True
        )
    except FileNotFoundError:
        return FIXED_TIME
    return told.stdout.strip() or FIXED_TIME


def _engine(folder):
    folder.mkdir(parents=True)
    source = NODE_MODULES / "pyodide"
    for name in PYODIDE_FILES:
        if name.endswith(".js"):
            module = (source / name).with_suffix(".mjs")
            (folder / name).write_bytes(_without_map(module))
        elif name == "python_stdlib.zip":
            _trim_library(source / name, folder / name)
        else:
            # Kept packed on the device as well; engine-boot.mjs unpacks it at each start.
            program = (source / PROGRAM).read_bytes()
            (folder / name).write_bytes(_packed(program))
    _zip_packages(folder / "handbook.zip")
    lock = json.loads((source / "pyodide-lock.json").read_text(encoding="utf-8"))
    version = json.loads((source / "package.json").read_text(encoding="utf-8"))["version"]
    manifest = {"pyodide": version, "info": lock["info"], "program_bytes": len(program)}
    _write_json(folder / "engine.json", manifest)


def _packed(content):
    """Return the content as gzip, without the time and the system that would differ."""
    packed = bytearray(gzip.compress(content, 9, mtime=0))
    packed[9] = 255  # no system's name
    return bytes(packed)


def _trim_library(source, target):
    """Copy Python's library without the parts that nothing here reaches."""
    with zipfile.ZipFile(source) as whole, zipfile.ZipFile(target, "w") as kept:
        for entry in whole.infolist():
            if not STDLIB_LEFT_OUT.fullmatch(entry.filename):
                kept.writestr(entry, whole.read(entry), zipfile.ZIP_DEFLATED, 9)


def _without_map(path):
    lines = path.read_bytes().rstrip().split(b"\n")
    if lines[-1].startswith(b"//# sourceMappingURL="):
        lines.pop()
    return b"\n".join(lines) + b"\n"


def _write_json(path, data):
    path.write_text(json.dumps(data, indent=1, sort_keys=True) + "\n", encoding="utf-8")


def _vendored(staging):
    for source, target in VENDORED.items():
        path = staging / target
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(
            _without_map(NODE_MODULES / source)
            if target.endswith(".mjs")
            else (NODE_MODULES / source).read_bytes()
        )


def _rename_modules(staging):
    """Give every module the ending `.js`.

    Many hosts send `.mjs` with a type that no browser runs, or as a download.
    """
    for path in sorted((staging / "assets").rglob("*.mjs")):
        if path.parent.name == "js":
            path.write_text(_with_plain_names(path.read_text(encoding="utf-8")), encoding="utf-8")
        path.rename(path.with_suffix(".js"))
    for path in staging.rglob("*.html"):
        html = path.read_text(encoding="utf-8")
        path.write_text(
            re.sub(r'(?<=assets/)(js|vendor)/([\w-]+)\.mjs(?=")', r"\1/\2.js", html),
            encoding="utf-8",
        )


def _with_node(script, folder, what):
    run([environment.node(), ROOT / "scripts" / script, folder], quiet=True, what=what)


def _lighten(folder):
    _with_node("lighten.mjs", folder, "Taking the comments out of the modules")


def _typeface(assets):
    run(
        [
            environment.python(),
            "-m",
            "handbook_tools.typeface",
            NODE_MODULES / FONT_FILE,
            assets / "css" / "handbook.css",
            assets / "fonts",
        ],
        env={"PYTHONPATH": str(ROOT / "scripts")},
        quiet=True,
        what="Cutting the typeface",
    )


def _one_sheet(staging):
    """Put the style sheets that every page has into one, the theme's without what no page has."""
    _with_node("lighten_styles.mjs", staging, "Taking out of the theme's styles what no page has")
    assets = staging / "assets"
    sheet = assets / "css" / "handbook.css"
    parts = [*sorted((assets / "stylesheets").glob("*.css")), sheet, assets / "css" / "job.css"]
    sheet.write_text("\n".join(path.read_text(encoding="utf-8") for path in parts), "utf-8")
    for path in parts:
        if path != sheet:
            path.unlink()
    return [path.relative_to(staging).as_posix() for path in parts]


def _link_one_sheet(staging, parts):
    """Leave in each page the link to the one sheet. Each file asks for a connection of its own."""
    link = re.compile(
        r'<link rel="stylesheet" href="([^"]*)(assets/(?:css|stylesheets)/[^"]+)">\s*'
    )
    for path in staging.rglob("*.html"):
        html = path.read_text(encoding="utf-8")
        found = link.findall(html)
        # A sheet that only some pages have comes after.
        rest = [name for _, name in found if name not in parts]
        if len(found) != len(parts) + len(rest):
            raise Problem(f"{path.relative_to(staging)} lacks a style sheet of every page.")
        (base,) = {base for base, _ in found}
        told = "".join(
            f'<link rel="stylesheet" href="{base}{name}">\n'
            for name in ("assets/css/handbook.css", *rest)
        )
        at = link.search(html).start()
        path.write_text(html[:at] + told + link.sub("", html[at:]), encoding="utf-8")


def own_styles(site):
    """Return {name in the site: bytes} of the one sheet and the typeface, made anew for its pages.

    A sheet that only some pages have is among them, as it is.
    """
    with tempfile.TemporaryDirectory() as made:
        staging = Path(made)
        assets = staging / "assets"
        for path in site.rglob("*.html"):
            target = staging / path.relative_to(site)
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(path, target)
        for name in ("js", "javascripts"):
            shutil.copytree(site / "assets" / name, assets / name)
        theme = environment.site_packages() / "material" / "templates" / "assets" / "stylesheets"
        shutil.copytree(theme, assets / "stylesheets", ignore=shutil.ignore_patterns("*.map"))
        shutil.copytree(ROOT / "docs" / "assets" / "css", assets / "css")
        (assets / "fonts").mkdir()
        _typeface(assets)
        _one_sheet(staging)
        return {
            path.relative_to(staging).as_posix(): path.read_bytes()
            for folder in ("css", "fonts")
            for path in (assets / folder).iterdir()
        }


def own_modules():
    """Return {name in the site: bytes} of the book's own modules, made anew as they go out."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made) / "assets" / "js"
        shutil.copytree(ROOT / "docs" / "assets" / "js", folder)
        _rename_modules(Path(made))
        _lighten(folder)
        return {f"assets/js/{path.name}": path.read_bytes() for path in folder.iterdir()}


def _with_plain_names(text):
    return re.sub(r"\.mjs\b", ".js", text)


def package_files():
    """Yield (name in the archive, bytes) of all that the engine's Python needs, in order."""
    for package in ("calc", "view"):
        yield from _tree(ROOT / package, package)
    yield "calc/evidence.json", _evidence_rows()
    place = environment.site_packages()
    for package in PACKAGES:
        if (place / package).is_dir():
            yield from _tree(place / package, package)
        else:
            yield f"{package}.py", (place / f"{package}.py").read_bytes()
        found = list(importlib.metadata.distributions(name=package, path=[str(place)]))
        if len(found) != 1:
            raise Problem(f"{package} is not installed. Remove .handbook and run this again.")
        metadata = Path(str(found[0].locate_file("."))) / found[0]._path.name
        for name in ("METADATA", "licenses"):
            part = metadata / name
            if part.is_dir():
                yield from _tree(part, f"{metadata.name}/licenses")
            elif part.exists():
                yield f"{metadata.name}/{name}", part.read_bytes()


def _evidence_rows():
    """Return the evidence as JSON: the browser has no folder of tests to read it from."""
    told = run(
        [
            environment.python(),
            "-c",
            "import json; from calc import evidence; "
            "print(json.dumps(evidence.rows(), sort_keys=True))",
        ],
        env={"PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8", "PYTHONDONTWRITEBYTECODE": "1"},
        quiet=True,
        what="Reading tests/evidence",
    )
    return told.strip().encode()


def _tree(folder, prefix):
    for path in sorted(folder.rglob("*")):
        inner = path.relative_to(folder)
        skipped = {"__pycache__", "tests", "testsuite"} & set(inner.parts)
        if path.is_file() and not skipped and path.suffix not in {".pyc", ".pyi"}:
            yield f"{prefix}/{inner.as_posix()}", path.read_bytes()


def _zip_packages(target):
    """Write the engine's packages as one archive, the same bytes from the same files."""
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        for name, content in package_files():
            entry = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system = 3
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, content)


def make_image(engine, output):
    """Make the engine's memory image. Return what its maker says of it."""
    said = run(
        [
            environment.node(),
            ROOT / "scripts" / "make_snapshot.mjs",
            engine,
            ROOT / "scripts" / "warm_up.py",
            output,
        ],
        # Node would otherwise take a seed of its own.
        env={"PYTHONHASHSEED": "0", "TZ": "UTC"},
        quiet=True,
        what="Making the memory image",
    )
    return json.loads(said.strip().splitlines()[-1])


def _image(engine, reuse):
    """Put the memory image beside the engine; the same input reuses the one made before."""
    scripts = ROOT / "scripts"
    key = digest(
        *(engine / name for name in (*PYODIDE_FILES, "handbook.zip", "engine.json")),
        scripts / "make_snapshot.mjs",
        scripts / "warm_up.py",
        ROOT / "docs" / "assets" / "js" / "engine-boot.mjs",
    )
    kept = HOME / "images" / key
    if not (reuse and (kept / "facts.json").exists()):
        with step("Making the memory image of the engine"):
            shutil.rmtree(HOME / "images", ignore_errors=True)
            kept.mkdir(parents=True)
            facts = make_image(engine, kept / IMAGE)
            told = {name: facts[name] for name in ("raw", "head", "python")}
            _write_json(kept / "facts.json", told)
    shutil.copyfile(kept / IMAGE, engine / IMAGE)
    facts = json.loads((kept / "facts.json").read_text(encoding="utf-8"))
    manifest = json.loads((engine / "engine.json").read_text(encoding="utf-8"))
    manifest["python"] = facts["python"]
    manifest["snapshot_bytes"] = facts["raw"]
    manifest["snapshot_head_bytes"] = facts["head"]
    manifest["files"] = {
        path.name: {
            "bytes": path.stat().st_size,
            "sha256": hashlib.sha256(path.read_bytes()).hexdigest(),
        }
        for path in sorted(engine.iterdir())
        if path.name != "engine.json"
    }
    _write_json(engine / "engine.json", manifest)


def _write_files(staging):
    """List the site's files for whoever packs them: a course package is made in the browser."""
    target = staging / "assets" / "files.json"
    names = sorted(
        path.relative_to(staging).as_posix()
        for path in staging.rglob("*")
        # What an installed book opens with is no part of a course.
        if path.is_file() and not path.match("assets/icons/start-*.png")
    )
    _write_json(target, {"files": names})


def _service_worker(staging):
    said = run(
        [environment.node(), ROOT / "scripts" / "make_service_worker.mjs", staging],
        env={"NODE_ENV": "production", "SOURCE_DATE_EPOCH": source_time()},
        quiet=True,
        what="Making the service worker",
    )
    return json.loads(said.strip().splitlines()[-1])


def _put_in_place(staging, site):
    site.parent.mkdir(parents=True, exist_ok=True)
    old = HOME / "old-site"
    shutil.rmtree(old, ignore_errors=True)
    if site.exists():
        os.replace(site, old)
    os.replace(staging, site)
    shutil.rmtree(old, ignore_errors=True)


def compressed(path):
    """Return how many bytes a file takes when sent with gzip."""
    return len(gzip.compress(path.read_bytes(), 9, mtime=0))


def weight(page, site):
    """Return what a page needs before any calculator starts: each file's bytes with gzip.

    Counts the page, its styles, its scripts and the modules that those import.
    Leaves out what comes later: fonts, icons, the search and the engine.
    """
    html = page.read_text(encoding="utf-8")
    found = re.findall(r'<link rel="stylesheet" href="([^"]+)"|<script src="([^"]+)"', html)
    found += re.findall(r'<script[^>]*type="module"[^>]*src="([^"]+)"', html)
    names = {name for pair in found for name in ([pair] if isinstance(pair, str) else pair) if name}
    waiting = [(page.parent / name).resolve() for name in names]
    files = {page.resolve()}
    while waiting:
        path = waiting.pop()
        if path in files:
            continue
        files.add(path)
        if path.suffix == ".js":
            text = path.read_text(encoding="utf-8")
            for inner in re.findall(r"""^(?:import|export)[^;]*?["'](\.[^"']+)["']""", text, re.M):
                waiting.append((path.parent / inner).resolve())
    each = {path.relative_to(site.resolve()).as_posix(): compressed(path) for path in files}
    return {"bytes": sum(each.values()), "files": each}
