"""The audit finds what is not as it should be, and never tells what it could not ask as sound."""

import base64
import hashlib
import io
import json
import sys
import tarfile
from pathlib import Path

import pytest

if sys.platform == "emscripten":
    pytest.skip(
        "the audit looks through tools that are here natively only", allow_module_level=True
    )

from handbook_tools import addresses, auditing, building, licences

ROOT = Path(__file__).resolve().parents[1]
SITE = ROOT / "site"
HASH = f"--hash=sha256:{'0' * 64}"

pytestmark = pytest.mark.native


def test_the_locks_are_sound():
    assert auditing.python_locks().state == auditing.SOUND
    assert auditing.npm_lock().state == auditing.SOUND


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("some==1.0", "has no sha256"),
        (f"some>=1.0 {HASH}", "no exact version"),
        (f"some @ file.whl {HASH}", "no exact version"),
        ("some==1.0 --hash=md5:00", "has no sha256"),
        ("-r other.txt", "no exact version"),
    ],
)
def test_a_pin_without_a_hash_is_found(tmp_path, line, told):
    lock = tmp_path / "bent.txt"
    lock.write_text(f"first==1.0 \\\n    {HASH}\n{line}\n", encoding="utf-8")
    pins, wrong = auditing.python_pins(lock)
    assert pins["first"] == ("1.0", True)
    assert len(wrong) == 1
    assert told in wrong[0]


def package(content, name="package/a.js"):
    held = io.BytesIO()
    with tarfile.open(fileobj=held, mode="w:gz") as archive:
        for inner, found in {
            name: content,
            "package/package.json": b'{"version": "1.0.0"}',
        }.items():
            entry = tarfile.TarInfo(inner)
            entry.size = len(found)
            archive.addfile(entry, io.BytesIO(found))
    return held.getvalue()


@pytest.fixture
def modules(tmp_path):
    """Return a folder with one installed npm package, its lock and npm's archive of it."""
    content = package(b"export {};\n")
    digest = hashlib.sha512(content)
    integrity = f"sha512-{base64.b64encode(digest.digest()).decode()}"
    name = digest.hexdigest()
    kept = tmp_path / "cache" / "sha512" / name[:2] / name[2:4] / name[4:]
    kept.parent.mkdir(parents=True)
    kept.write_bytes(content)
    folder = tmp_path / "node_modules" / "some"
    folder.mkdir(parents=True)
    (folder / "a.js").write_bytes(b"export {};\n")
    (folder / "package.json").write_bytes(b'{"version": "1.0.0"}')
    locked = {"": {}, "node_modules/some": {"version": "1.0.0", "integrity": integrity}}
    (tmp_path / "package-lock.json").write_text(json.dumps({"packages": locked}), encoding="utf-8")
    return tmp_path


def npm_state(root):
    return auditing.installed_npm(root, root / "cache")


def test_a_package_as_it_was_packed_is_sound(modules):
    assert npm_state(modules).state == auditing.SOUND
    assert auditing.npm_lock(modules).state == auditing.SOUND


@pytest.mark.parametrize(
    ("file", "content", "told"),
    [
        ("some/a.js", b"steal();\n", "a.js was changed"),
        ("some/a.js", None, "a.js is missing"),
        ("some/b.js", b"1", "b.js was added"),
        ("some/package.json", b'{"version": "1.0.1"}', "is 1.0.1, not 1.0.0"),
        ("other/package.json", b'{"version": "1.0.0"}', "is installed and not in the lock"),
    ],
)
def test_a_changed_package_is_found(modules, file, content, told):
    path = modules / "node_modules" / file
    path.parent.mkdir(exist_ok=True)
    if content is None:
        path.unlink()
    else:
        path.write_bytes(content)
    part = npm_state(modules)
    assert part.state == auditing.WRONG
    assert told in " ".join(part.wrong)


def test_a_package_without_an_archive_is_not_told_as_compared(modules):
    for path in (modules / "cache").rglob("*"):
        if path.is_file():
            path.write_bytes(b"another archive")
    part = npm_state(modules)
    assert part.state == auditing.UNASKED
    assert "0 compared" in part.words


def test_an_npm_package_without_integrity_is_found(modules):
    locked = {"node_modules/some": {"version": "1.0.0", "resolved": "somewhere"}}
    (modules / "package-lock.json").write_text(json.dumps({"packages": locked}), encoding="utf-8")
    assert len(auditing.npm_lock(modules).wrong) == 2


@pytest.mark.parametrize("bent", ["a changed file", "an added file", "a missing file"])
def test_a_changed_python_package_is_found(tmp_path, bent):
    folder = tmp_path / "some-1.0.dist-info"
    folder.mkdir()
    (tmp_path / "some.py").write_text("one = 1\n", encoding="utf-8")
    digest = base64.urlsafe_b64encode(hashlib.sha256(b"one = 1\n").digest()).decode().rstrip("=")
    (folder / "METADATA").write_text("Name: some\nVersion: 1.0\n", encoding="utf-8")
    (folder / "RECORD").write_text(
        f"some.py,sha256={digest},8\nsome-1.0.dist-info/METADATA,,\nsome-1.0.dist-info/RECORD,,\n",
        encoding="utf-8",
    )
    before = [one for one in auditing.installed_python(tmp_path).wrong if "some" in one]
    assert before == ["some 1.0 is installed and in no lock."]
    if bent == "a changed file":
        (tmp_path / "some.py").write_text("one = 2\n", encoding="utf-8")
    elif bent == "an added file":
        (tmp_path / "some_more.py").write_text("", encoding="utf-8")
    else:
        (tmp_path / "some.py").unlink()
    assert len([one for one in auditing.installed_python(tmp_path).wrong if "some" in one]) == 2


@pytest.mark.parametrize(
    "said", ["", "not json", "{}", '{"message": "405", "statusCode": 405}', "[]"]
)
def test_a_register_that_cannot_be_asked_is_never_told_as_sound(said):
    for read in (auditing.read_npm_audit, auditing.read_pip_audit):
        part = read(auditing.Part("known faults"), said)
        assert part.state == auditing.UNASKED
        assert auditing.outcome([auditing.Part("another"), part]) == 3


def test_known_faults_are_told():
    report = {
        "vulnerabilities": {"some": {"severity": "high", "range": "<2"}},
        "metadata": {"dependencies": {"total": 3}},
    }
    part = auditing.read_npm_audit(auditing.Part("npm"), json.dumps(report))
    assert part.wrong == ["some: high severity, versions <2."]
    assert auditing.outcome([part, auditing.Part("x", unasked="y")]) == 1
    report = {"dependencies": [{"name": "some", "version": "1", "vulns": [{"id": "X-1"}]}]}
    part = auditing.read_pip_audit(auditing.Part("pip"), json.dumps(report))
    assert part.wrong == ["some: X-1."]


def test_a_register_that_knows_nothing_bad_is_told_as_sound():
    report = {"vulnerabilities": {}, "metadata": {"dependencies": {"total": 3}}}
    part = auditing.read_npm_audit(auditing.Part("npm"), json.dumps(report))
    assert (part.state, auditing.outcome([part])) == (auditing.SOUND, 0)
    nothing = auditing.read_pip_audit(auditing.Part("pip"), '{"dependencies": []}')
    assert nothing.state == auditing.UNASKED


@pytest.mark.parametrize("licence", ["GPL-3.0-only", "AGPL-3.0", "MIT AND GPL-2.0", "SSPL-1.0", ""])
def test_a_licence_that_binds_others_may_not_go_out(licence):
    assert not licences.may_go_out(licence)


def test_every_licence_of_what_goes_out_is_there_with_its_text():
    part = auditing.shipped_licences()
    assert part.wrong == []
    told = licences.notices(ROOT)
    for each in licences.parts(ROOT):
        assert f"{each.name} {each.version}: {each.licence}" in told
        assert each.text.strip() in told


@pytest.mark.parametrize(
    "text",
    [
        '<img src="https://elsewhere.invalid/a.png">',
        "<script src=//elsewhere.invalid/a.js></script>",
        '<link rel="preconnect" href="/">',
        '<link rel="dns-prefetch" href="//elsewhere.invalid">',
        '<form action="http://elsewhere.invalid/">',
        '<a ping="/told" href="/">a</a>',
        '<meta http-equiv="refresh" content="0; url=//elsewhere.invalid">',
        "p { background: url(//elsewhere.invalid/a.png) }",
        '@import "https://elsewhere.invalid/a.css";',
        'import a from "https://elsewhere.invalid/a.js";',
        'fetch("//elsewhere.invalid/")',
        "new RTCPeerConnection()",
        "see https://elsewhere.invalid/",
    ],
)
def test_an_address_of_another_host_is_found(text):
    assert addresses.faults_of("a.html", text, "http://127.0.0.1:8321/")


def test_our_own_addresses_and_names_of_vocabularies_pass():
    text = (
        '<link rel="canonical" href="http://127.0.0.1:8321/job/"><a href="../job/">Job</a>'
        '<svg xmlns="http://www.w3.org/2000/svg"></svg>'
    )
    assert addresses.faults_of("a.html", text, "http://127.0.0.1:8321/") == []


@pytest.mark.site
def test_every_file_of_the_site_is_accounted_for():
    assert auditing.provenance(SITE).wrong == []


@pytest.mark.site
@pytest.mark.parametrize(
    "name",
    [
        "assets/css/handbook.css",
        "assets/fonts/atkinson-hyperlegible-next.woff2",
        "assets/js/morph.js",
        "assets/vendor/idb.js",
        f"assets/engine/{building.PACKED_PROGRAM}",
    ],
)
def test_a_changed_file_of_the_site_is_found(tmp_path, name):
    source = next(
        path for path in (SITE / name, (SITE / name).with_suffix(".mjs")) if path.exists()
    )
    path = tmp_path / source.name
    content = source.read_bytes()
    path.write_bytes(content)
    inner = source.relative_to(SITE).as_posix()
    assert auditing.origin(inner, path)
    changed = content + b"\nsteal();\n"
    if name.startswith("assets/engine/"):
        changed = building._packed(b"another program")
    path.write_bytes(changed)
    assert not auditing.origin(inner, path)
    assert not auditing.origin("assets/js/stranger.js", path)
