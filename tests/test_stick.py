"""The archive for a stick: the same twice, checks itself, and serves the site with right types."""

import subprocess
import sys
import urllib.error
import urllib.request
import zipfile

import pytest

if sys.platform == "emscripten":
    pytest.skip("the archive is made natively only", allow_module_level=True)

from handbook_tools import stick

pytestmark = pytest.mark.native

FILES = {
    "index.html": b'<!doctype html><meta http-equiv="Content-Security-Policy" '
    b"content=\"default-src 'none'\"><title>Book</title>",
    "practice/index.html": b"<!doctype html><title>Practice</title>",
    "assets/js/handbook.js": b"export {};\n",
    "assets/engine/snapshot.pack": b"\x1f\x8b packed already",
}


@pytest.fixture
def site(tmp_path):
    for name, content in FILES.items():
        path = tmp_path / "site" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    return tmp_path / "site"


@pytest.fixture
def unpacked(site, tmp_path):
    stick.pack(site, tmp_path / "stick.zip")
    with zipfile.ZipFile(tmp_path / "stick.zip") as archive:
        archive.extractall(tmp_path / "away")
    return tmp_path / "away" / stick.FOLDER


def serve(folder, *words):
    return subprocess.run(
        [sys.executable, folder / "serve.py", *words], capture_output=True, text=True, timeout=60
    )


def test_the_same_site_gives_the_same_bytes(site, tmp_path):
    stick.pack(site, tmp_path / "one.zip")
    for name in reversed(FILES):
        (site / name).touch()
    stick.pack(site, tmp_path / "two.zip")
    assert (tmp_path / "one.zip").read_bytes() == (tmp_path / "two.zip").read_bytes()


def test_a_whole_copy_checks_itself(unpacked):
    found = serve(unpacked, "--check")
    assert (found.returncode, found.stdout) == (0, "Every file is as it was packed.\n")


def test_a_damaged_copy_is_told_file_by_file(unpacked):
    (unpacked / "site/index.html").write_bytes(b"changed")
    (unpacked / "site/practice/index.html").unlink()
    (unpacked / "site/extra.html").write_bytes(b"")
    found = serve(unpacked, "--check")
    assert found.returncode == 1
    assert found.stdout.splitlines()[:3] == [
        "site/index.html was changed or is damaged.",
        "site/practice/index.html is missing.",
        "site/extra.html was added.",
    ]
    (unpacked / "SHA256SUMS").unlink()
    assert "nothing can be compared" in serve(unpacked, "--check").stdout


def test_without_the_site_it_says_what_to_do(unpacked):
    (unpacked / "site").rename(unpacked / "elsewhere")
    found = serve(unpacked, "--no-browser")
    assert found.returncode == 1
    assert "Unpack the whole archive" in found.stdout


def test_the_site_is_served_with_types_that_browsers_take(unpacked):
    running = subprocess.Popen(
        [sys.executable, unpacked / "serve.py", "--no-browser", "--port", "0"],
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        address = running.stdout.readline().split()[4]
        for path, kind in {
            "": "text/html; charset=utf-8",
            "practice/": "text/html; charset=utf-8",
            "assets/js/handbook.js": "text/javascript",
            "assets/engine/snapshot.pack": "application/octet-stream",
        }.items():
            with urllib.request.urlopen(address + path, timeout=20) as answer:
                assert answer.headers["Content-Type"] == kind
                assert answer.headers["Content-Encoding"] is None
                assert answer.headers["X-Content-Type-Options"] == "nosniff"
                assert answer.headers["Referrer-Policy"] == "no-referrer"
                sent = answer.headers["Content-Security-Policy"]
                assert sent == "default-src 'none'; frame-ancestors 'self'"
                name = f"{path}index.html" if path in ("", "practice/") else path
                assert answer.read() == FILES[name]
        with pytest.raises(urllib.error.HTTPError, match="404"):
            urllib.request.urlopen(f"{address}assets/", timeout=20)
    finally:
        running.kill()
        running.communicate()


def test_licences_and_notices_lie_beside_the_site(unpacked):
    assert "MIT" in (unpacked / "LICENSE").read_text(encoding="utf-8")
    told = (unpacked / "THIRD-PARTY-NOTICES.txt").read_text(encoding="utf-8")
    for words in ("pyodide", "Mozilla Public License", "pint", "mkdocs-material"):
        assert words in told
