"""The tests on every Python: what is taken for one, and what is owned up to."""

import stat
import sys

import pytest

pytestmark = pytest.mark.native

if sys.platform == "emscripten":
    pytest.skip("the tools run natively only", allow_module_level=True)

from handbook_tools import base, pythons, testing  # noqa: E402


def program(folder, name, script):
    path = folder / name
    path.write_text(f"#!/bin/sh\n{script}\n", encoding="utf-8")
    path.chmod(path.stat().st_mode | stat.S_IXUSR)
    return path


def says(folder, name, version, kind="CPython"):
    return program(folder, name, f"echo {kind} {version}")


@pytest.fixture
def empty_path(tmp_path, monkeypatch):
    folder = tmp_path / "bin"
    folder.mkdir()
    monkeypatch.setenv("PATH", f"{folder}:/usr/bin-is-not-here")
    return folder


def test_a_python_on_the_path_is_asked_for_its_version(empty_path):
    says(empty_path, "python3.13", "3.13.2")
    found = pythons.chosen(())
    assert {version for version, one in found.items() if one} == {"3.13"}
    assert found["3.13"].full == "3.13.2"


@pytest.mark.parametrize(
    "script", ["echo no such version >&2; exit 127", "echo PyPy 3.14.0", "echo CPython 3.11.2", ":"]
)
def test_what_only_has_the_name_of_a_python_is_none(empty_path, script):
    program(empty_path, "python3.14", script)
    assert pythons.chosen(())["3.14"] is None


def test_a_shim_does_not_hide_the_python_behind_it(empty_path, tmp_path, monkeypatch):
    program(empty_path, "python3.12", "exit 127")
    behind = tmp_path / "behind"
    behind.mkdir()
    real = says(behind, "python3.12", "3.12.9")
    monkeypatch.setenv("PATH", f"{empty_path}:{behind}")
    assert pythons.chosen(())["3.12"].path == str(real)


def test_a_given_python_goes_before_the_path(empty_path, tmp_path):
    says(empty_path, "python3.14", "3.14.0")
    given = says(tmp_path, "mine", "3.14.8")
    assert pythons.chosen([given])["3.14"].full == "3.14.8"


@pytest.mark.parametrize("version", ["3.10.4", "3.15.0"])
def test_a_given_python_beyond_the_range_is_refused(tmp_path, version):
    with pytest.raises(base.Problem, match=r"supports 3\.11 to 3\.14"):
        pythons.chosen([says(tmp_path, "mine", version)])


def test_what_is_given_and_does_not_answer_is_refused(tmp_path):
    with pytest.raises(base.Problem, match="Give the path of a python3 program"):
        pythons.chosen([tmp_path / "nothing"])


@pytest.fixture
def runs(monkeypatch):
    """Let the tests of Python 3.11 pass, with the other versions not there."""
    one = dict.fromkeys(pythons.VERSIONS)
    one["3.11"] = pythons.Found("/somewhere/python3.11", "3.11.2")
    monkeypatch.setattr(pythons.environment, "ready", lambda **_: None)
    monkeypatch.setattr(pythons, "bare_packages", lambda: "packages")
    monkeypatch.setattr(pythons, "chosen", lambda paths: one)
    monkeypatch.setattr(testing, "native_answers", lambda: "answers.json")
    result = testing.Part("Python 3.11", passed=7)
    monkeypatch.setattr(testing, "_part", lambda name, command, counts, env: result)
    return result


def test_what_was_not_there_is_said_and_not_passed(runs, capsys):
    assert pythons.run() == 0
    told = capsys.readouterr().out
    assert "Not run, and so not passed: Python 3.12, 3.13, 3.14." in told
    assert told.count("NOT RUN") == 3


def test_what_is_required_and_not_there_is_a_failure(runs):
    assert pythons.run(required=["3.11"]) == 0
    assert pythons.run(required=["3.14"]) == 1


def test_a_failure_on_one_python_is_a_failure(runs):
    runs.failed = 1
    assert pythons.run() == 1


def test_nothing_run_is_a_failure(runs, monkeypatch):
    monkeypatch.setattr(pythons, "chosen", lambda paths: dict.fromkeys(pythons.VERSIONS))
    assert pythons.run() == 1


def test_the_packages_are_pytest_and_pint_and_nothing_compiled(tmp_path, monkeypatch):
    monkeypatch.setattr(pythons, "HOME", tmp_path)
    folder = pythons.bare_packages()
    assert {"pytest", "pint", "_pytest", "py.py"} <= {path.name for path in folder.iterdir()}
    assert not [path for path in folder.rglob("*") if path.suffix in (".so", ".pyd", ".pyc")]
