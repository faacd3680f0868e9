"""The tools: locks, the server, counting what ran, and the build errors with their mends."""

import gzip
import hashlib
import json
import re
import subprocess
import sys
import urllib.error
import urllib.request
from pathlib import Path
from threading import Thread

import pytest

ROOT = Path(__file__).resolve().parents[1]

pytestmark = pytest.mark.native

if sys.platform == "emscripten":
    pytest.skip("the tools run natively only", allow_module_level=True)

import handbook  # noqa: E402
from handbook_tools import base, building, environment, serving, testing  # noqa: E402


@pytest.mark.parametrize("name", ["site", "dev"])
def test_locks_are_hashed_and_name_no_host(name):
    text = (ROOT / "requirements" / f"{name}.txt").read_text(encoding="utf-8")
    assert "http" not in text
    assert "index-url" not in text
    pins = re.split(r"\n(?=\S)", text.strip())
    assert len(pins) > 15
    for pin in pins:
        assert re.match(r"[a-z0-9-]+==\S+", pin), pin
        assert "--hash=sha256:" in pin, pin


@pytest.mark.parametrize("name", ["site", "dev", "lock"])
def test_wanted_packages_are_pinned_exactly(name):
    lines = (ROOT / "requirements" / f"{name}.in").read_text(encoding="utf-8").splitlines()
    wanted = [line for line in lines if line and not line.startswith(("#", "-r "))]
    assert wanted
    assert all(re.fullmatch(r"[A-Za-z0-9-]+==[\w.]+", line) for line in wanted)


def test_site_lock_is_part_of_the_dev_lock():
    def pins(name):
        text = (ROOT / "requirements" / f"{name}.txt").read_text(encoding="utf-8")
        return set(re.findall(r"^([a-z0-9-]+==\S+)", text, flags=re.M))

    assert pins("site") < pins("dev")


def test_npm_lock_is_exact_and_names_no_host():
    lock = json.loads((ROOT / "package-lock.json").read_text(encoding="utf-8"))
    for name, package in lock["packages"].items():
        assert "resolved" not in package, name
        assert not name or package["integrity"].startswith("sha512-"), name
    wanted = json.loads((ROOT / "package.json").read_text(encoding="utf-8"))["devDependencies"]
    assert all(re.fullmatch(r"[\d.]+", version) for version in wanted.values())


def test_an_old_python_is_told_what_to_do(monkeypatch, capsys):
    monkeypatch.setattr(sys, "version_info", (3, 9, 1))
    assert handbook.main(["build"]) == 2
    assert "Python 3.11 to 3.14" in capsys.readouterr().err


def test_a_missing_ensurepip_is_told_with_its_mend(monkeypatch, tmp_path):
    monkeypatch.setattr(environment, "VENV", tmp_path / "venv")
    monkeypatch.setattr(environment, "HOME", tmp_path)

    def refused(command, **kwargs):
        return subprocess.CompletedProcess(command, 1, "", "ensurepip is not available")

    monkeypatch.setattr(environment.subprocess, "run", refused)
    with pytest.raises(base.Problem, match="apt-get install python3-venv"):
        environment._make_venv()


def test_a_failing_command_shows_its_own_words():
    with pytest.raises(base.Problem, match="this is why"):
        base.run([sys.executable, "-c", "print('this is why'); exit(3)"], quiet=True)


@pytest.fixture
def served(tmp_path):
    for name in ("a.mjs", "b.wasm", "c.bin.gz", "d.webmanifest", "e.css", "page/index.html"):
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_text("content", encoding="utf-8")
    (tmp_path / "empty").mkdir()

    def start(prefix="/"):
        running = serving.server(tmp_path, 0, prefix)
        Thread(target=running.serve_forever, daemon=True).start()
        servers.append(running)
        return f"http://127.0.0.1:{running.server_port}"

    servers = []
    yield start
    for running in servers:
        running.shutdown()
        running.server_close()


@pytest.mark.parametrize(
    ("name", "type_"),
    [
        ("a.mjs", "text/javascript"),
        ("b.wasm", "application/wasm"),
        ("c.bin.gz", "application/octet-stream"),
        ("d.webmanifest", "application/manifest+json"),
        ("e.css", "text/css"),
        ("page/", "text/html; charset=utf-8"),
        ("e.css?h=word", "text/css"),
    ],
)
def test_files_are_served_with_their_types(served, name, type_):
    with urllib.request.urlopen(f"{served()}/{name}") as answer:
        assert answer.headers["Content-Type"] == type_
        assert answer.headers["Content-Encoding"] is None
        assert answer.read() == b"content"


@pytest.mark.parametrize(
    ("name", "packed"),
    [
        ("e.css", True),
        ("page/", True),
        ("a.mjs?fresh=1", True),
        ("b.wasm", False),
        ("c.bin.gz", False),
    ],
)
def test_texts_are_compressed_on_their_way_as_hosts_do(served, name, packed):
    wanted = {"Accept-Encoding": "gzip, deflate"}
    address = f"{served()}/{name}"
    with urllib.request.urlopen(urllib.request.Request(address, headers=wanted)) as answer:
        content = answer.read()
        assert (answer.headers["Content-Encoding"] == "gzip") is packed
        assert int(answer.headers["Content-Length"]) == len(content)
        assert (gzip.decompress(content) if packed else content) == b"content"
        date = answer.headers["Last-Modified"]
    again = urllib.request.Request(address, headers={**wanted, "If-Modified-Since": date})
    with pytest.raises(urllib.error.HTTPError) as unchanged:
        urllib.request.urlopen(again)
    assert unchanged.value.code == 304


@pytest.mark.parametrize("name", ["nothing.html", "empty/", "../../etc/hostname"])
def test_what_is_not_in_the_site_is_not_served(served, name):
    with pytest.raises(urllib.error.HTTPError) as failure:
        urllib.request.urlopen(f"{served()}/{name}")
    assert failure.value.code == 404


def test_a_site_can_be_served_in_a_folder(served):
    address = served("/books/cold-fill/")
    with urllib.request.urlopen(f"{address}/books/cold-fill/page/") as answer:
        assert answer.read() == b"content"
    with pytest.raises(urllib.error.HTTPError):
        urllib.request.urlopen(f"{address}/page/")


def test_a_busy_port_is_told_with_its_mend(tmp_path):
    with serving.server(tmp_path, 0) as first:
        port = first.server_port
        with pytest.raises(base.Problem, match=rf"Port {port} .* --port {port + 1}"):
            serving.server(tmp_path, port)


@pytest.mark.parametrize(
    ("line", "counts"),
    [
        ("12 passed in 1.50s", (12, 0, 0)),
        ("= 2 failed, 10 passed, 3 skipped, 1 xfailed in 61.02s (0:01:01) =", (11, 2, 3)),
        ("1 error in 0.20s", (0, 1, 0)),
        ("3 deselected in 0.10s", (0, 0, 0)),
    ],
)
def test_pytest_counts(line, counts):
    assert testing.pytest_counts(["12 tests in sight", line]) == counts


def test_node_counts():
    lines = ["ℹ tests 9", "ℹ pass 6", "ℹ fail 1", "ℹ cancelled 1", "ℹ skipped 1", "ℹ todo 0"]
    assert testing.node_counts(lines) == (6, 2, 1)


def test_a_runner_that_ran_nothing_has_failed():
    part = testing._part("nothing", [sys.executable, "-c", "pass"], testing.pytest_counts)
    assert part.failed == 1


def test_a_runner_that_crashed_has_failed():
    said = "print('5 passed in 1.00s'); exit(7)"
    part = testing._part("crash", [sys.executable, "-c", said], testing.pytest_counts)
    assert (part.passed, part.failed) == (5, 1)


@pytest.mark.parametrize(("ci", "failed", "skipped"), [("true", 1, 0), ("", 0, 1)])
def test_a_missing_browser_is_told_and_fails_in_ci(monkeypatch, capsys, ci, failed, skipped):
    monkeypatch.setenv("CI", ci)
    monkeypatch.delenv("HANDBOOK_REQUIRE_BROWSERS", raising=False)
    monkeypatch.setattr(testing, "found_browser", lambda name: ["firefox-esr"])
    monkeypatch.setattr(testing, "_is_debian_root", lambda: False)
    part = testing._browser("firefox", (), whole=True)
    assert (part.failed, part.skipped) == (failed, skipped)
    told = capsys.readouterr().out
    assert "IS NOT TESTED" in told
    assert "apt-get install firefox-esr" in told


@pytest.fixture
def parts(monkeypatch):
    """What was run of each part: its words and its environment. Nothing is."""
    told = {}

    def part(name, command, counts, *, env=None):
        told[name] = command, env
        return testing.Part(name, 7)

    monkeypatch.setattr(testing, "found_browser", lambda name: [])
    monkeypatch.setattr(testing, "wasm_archive", lambda: "tests.zip")
    monkeypatch.setattr(testing, "_part", part)
    return told


@pytest.mark.parametrize("whole", [False, True])
def test_a_short_run_says_that_it_is_one(parts, whole):
    assert ("--whole" in testing._browser("firefox", (), whole).note) is not whole
    assert parts["browser: firefox"][1]["HANDBOOK_WHOLE"] == ("1" if whole else "0")
    assert ("--whole" in testing._wasm((), whole).note) is not whole
    asked = parts["tests in the browser's Python"][0]
    assert ("tests" in asked) is whole
    assert ("tests/test_evidence.py" in asked) is not whole


@pytest.mark.parametrize(
    ("words", "asked", "whole"),
    [((), False, False), ((), True, True), (("-k", "charge"), False, True)],
)
def test_what_is_named_is_run_wherever_it_is_found(parts, monkeypatch, capsys, words, asked, whole):
    monkeypatch.setattr(testing.environment, "ready", lambda dev: None)
    for name in ("_ruff", "_native", "_javascript", "_build", "_site"):
        monkeypatch.setattr(testing, name, lambda *_, name=name: testing.Part(name, 1))
    monkeypatch.setattr(testing, "_build_for", lambda browsers: None)
    assert testing.run_tests(words=words, whole=asked) == 0
    assert {
        env["HANDBOOK_WHOLE"] for name, (_, env) in parts.items() if name.startswith("browser")
    } == {str(int(whole))}
    assert ("tests" in parts["tests in the browser's Python"][0]) is whole
    assert capsys.readouterr().out.count("--whole") == (0 if whole else 4)


def test_a_short_run_names_what_is_there():
    assert all((base.ROOT / name).is_file() for name in testing.SAME_ANSWERS)


def test_ci_has_the_browsers_meet_every_page():
    assert (base.ROOT / ".ci" / "run").read_text("utf-8").split()[-2:] == ["test", "--whole"]


def test_packing_the_engine_twice_gives_the_same_bytes(tmp_path):
    sums = []
    for name in ("one.zip", "two.zip"):
        building._zip_packages(tmp_path / name)
        sums.append(hashlib.sha256((tmp_path / name).read_bytes()).hexdigest())
    assert sums[0] == sums[1]


def test_the_engine_gets_what_it_needs_and_no_more():
    names = [name for name, _ in building.package_files()]
    assert len(names) == len(set(names))
    for wanted in (
        "calc/bridge.py",
        "calc/evidence.json",
        "view/__init__.py",
        "pint/__init__.py",
        "pint/default_en.txt",
        "typing_extensions.py",
    ):
        assert wanted in names
    unwanted = ("iapws", "numpy", "scipy", "CoolProp", "uncertainties")
    assert not [n for n in names if n.startswith(unwanted)]
    assert not [n for n in names if "__pycache__" in n or "/tests/" in n]


HAZARDS = """
[deferral]
text = "The code decides, before this page does."
short = "The code decides."
[hazard.scald]
title = "Hot water"
text = "Let it cool."
stop = "Hotter than 49 °C."
"""
VIEW = """
def calculator(id):
    if id != "known":
        raise KeyError(id)
    return '<live-calculator data-calculator="known"><output>1.5</output></live-calculator>'
def sources(): return "<p>All the sources.</p>"
def evidence_index(): return "<p>All the evidence.</p>"
def evidence_table(group): return f"<p>The evidence of {group}.</p>"
def evidence_groups(): return [("taps", ("taps",))]
def evidence_title(group): return group.capitalize()
def calculator_index(): return "<p>All the calculators.</p>"
def book(): return {"calculators": {"known": {"title": "Known", "page": "index.md"}}, "facts": {}}
"""
SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9" role="img">'
    "<title>A tap</title><desc>A tap drips.</desc><path d='M0 0'/></svg>"
)
FENCE = "```calculator\nknown\n```\n"
FIGURE = "```figure\ntap\nA drip.\n```\n"


@pytest.fixture
def book(tmp_path):
    """Return a function that builds a book of one page and gives (exit code, words, HTML)."""
    (tmp_path / "docs" / "figures").mkdir(parents=True)
    (tmp_path / "docs" / "figures" / "tap.svg").write_text(SVG, encoding="utf-8")
    (tmp_path / "docs" / "figures" / "mute.svg").write_text(
        SVG.replace("<desc>A tap drips.</desc>", ""), encoding="utf-8"
    )
    (tmp_path / "view").mkdir()
    (tmp_path / "view" / "__init__.py").write_text(VIEW, encoding="utf-8")
    settings = (ROOT / "mkdocs.yml").read_text(encoding="utf-8").partition("\nnav:")[0]
    settings = settings.replace("scripts/site_hooks.py", str(ROOT / "scripts" / "site_hooks.py"))
    settings = settings.replace("custom_dir: overrides", f"custom_dir: {ROOT / 'overrides'}")
    (tmp_path / "mkdocs.yml").write_text(settings, encoding="utf-8")

    def build(page, hazards=HAZARDS):
        (tmp_path / "docs" / "hazards.toml").write_text(hazards, encoding="utf-8")
        (tmp_path / "docs" / "index.md").write_text(page, encoding="utf-8")
        (tmp_path / "docs" / "how-checked.md").write_text("# How\n", encoding="utf-8")
        (tmp_path / "docs" / "job.md").write_text("# The job\n", encoding="utf-8")
        done = subprocess.run(
            [environment.python(), "-m", "mkdocs", "build", "--strict"],
            cwd=tmp_path,
            capture_output=True,
            text=True,
            encoding="utf-8",
        )
        html = tmp_path / "site" / "index.html"
        return (
            done.returncode,
            done.stdout + done.stderr,
            (html.read_text(encoding="utf-8") if html.exists() and not done.returncode else ""),
        )

    return build


def test_a_procedure_page_gets_its_cautions_and_the_deferral(book):
    page = (
        "---\nprocedure: true\nhazards: [scald]\n---\n# Do it\n\nFirst words.\n\n"
        f"1.  **Shut it.** Slowly.\n\n{FENCE}\n{FIGURE}"
    )
    code, words, html = book(page)
    assert code == 0, words
    article = html[html.index("<article") :]
    places = [
        article.index(text)
        for text in (
            ">Do it",
            "Before you start",
            "Hot water",
            "Let it cool.",
            "Hotter than 49",
            '<procedure-steps data-page="index" data-title="Do it"',
            '<a href="job/">open a job</a>',
            "First words.",
            '<li data-step="shut-it">',
            "<live-calculator",
            "before this page does",
        )
    ]
    assert places == sorted(places)
    assert 'class="hb-cautions"' in html


def test_any_other_page_gets_the_short_deferral(book):
    code, words, html = book(f"# Read it\n\n```sources\n```\n\n{FIGURE}")
    assert code == 0, words
    assert "The code decides." in html
    assert "before this page does" not in html
    assert "All the sources." in html
    assert "<title>A tap</title>" in html
    assert "<figcaption>A drip.</figcaption>" in html


@pytest.mark.parametrize(
    ("page", "told"),
    [
        (f"---\nprocedure: true\n---\n# Do it\n\n{FENCE}", "procedure page without hazards"),
        (f"---\nprocedure: true\nhazards: [fog]\n---\n# Do it\n\n{FENCE}", "does not have: fog"),
        ("---\nprocedure: true\nhazards: [scald]\n---\n# Do it\n", "without a live calculator"),
        (
            f"---\nprocedure: true\nhazards: [scald]\n---\n# Do it\n\n{FENCE}",
            "docs/index.md is a procedure page without a figure. Draw what",
        ),
        (
            f"---\nprocedure: true\nhazards: [scald]\n---\n# Do it\n\n{FENCE}\n{FIGURE}",
            "docs/index.md: a procedure page without numbered steps",
        ),
        ("---\nhazards: [scald]\n---\n# Read it\n", "is no procedure page"),
        ("# Read it\n\n```calculator\nunknown\n```\n", "KeyError: 'unknown'"),
        ("# Read it\n\n```figure\nnowhere\nWords.\n```\n", "no figure docs/figures/nowhere.svg"),
        ("# Read it\n\n```figure\nmute\nWords.\n```\n", "mute.svg lacks a <desc>"),
        ("# Read it\n\n```figure\ntap\n```\n", "needs a caption"),
        ("# Read it\n\n```sources\nwords\n```\n", "this fence stays empty"),
        ("# Read it\n\n[gone](gone.md)\n", "gone.md"),
        ("# Read it\n\n[gone](#gone)\n", "gone"),
    ],
)
def test_a_page_that_is_not_in_order_fails_the_build(book, page, told):
    code, words, _ = book(page)
    assert code != 0
    assert told in words


def test_the_browser_is_told_titles_and_addresses(book, tmp_path):
    code, words, _ = book("# Read it\n")
    assert code == 0, words
    told = json.loads((tmp_path / "site" / "assets" / "book.json").read_text(encoding="utf-8"))
    assert told["calculators"] == {"known": {"title": "Known", "page": "./"}}


def test_a_fence_in_a_step_of_a_list_works(book):
    page = "# Read it\n\n1. One.\n\n    ```calculator\n    known\n    ```\n\n2. Two.\n"
    code, words, html = book(page)
    assert code == 0, words
    assert html.count("<live-calculator") == 1
    assert "<p><live-calculator" not in html
    assert html.count("<ol>") == 1
