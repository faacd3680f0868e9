"""Two builds are compared byte by byte, and nothing in the site tells where it was made."""

import gzip
import io
import os
import sys
import zipfile
from pathlib import Path

import pytest

if sys.platform == "emscripten":
    pytest.skip("the site is built natively only", allow_module_level=True)

from handbook_tools import building, reproducing

ROOT = Path(__file__).resolve().parents[1]
SITE = ROOT / "site"

pytestmark = pytest.mark.native


def archive(*entries):
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as made:
        for name, content, year in entries:
            made.writestr(zipfile.ZipInfo(name, (year, 1, 1, 0, 0, 0)), content)
    return held.getvalue()


def test_the_same_files_have_no_difference():
    both = {"a": b"1", "b.zip": archive(("x", b"1", 1980))}
    assert reproducing.differences(both, dict(both)) == []


@pytest.mark.parametrize(
    ("other", "told"),
    [
        ({"a": b"1"}, "b.html is in one of the builds only."),
        ({"a": b"1", "b.html": b"same up to here, then that"}, "b.html differs at byte 24"),
        ({"a": b"1", "b.html": b"same up to here, then this and more"}, "differs at byte 26"),
    ],
)
def test_each_difference_is_named_with_its_place(other, told):
    found = reproducing.differences({"a": b"1", "b.html": b"same up to here, then this"}, other)
    assert len(found) == 1
    assert told in found[0]


@pytest.mark.parametrize("other", [("x", b"2", 1980), ("x", b"1", 1999), ("y", b"1", 1980)])
def test_an_archive_is_looked_into(other):
    one, two = archive(("x", b"1", 1980)), archive(other)
    found = reproducing.differences({"all.zip": one}, {"all.zip": two})
    assert len(found) == 1
    assert found[0].startswith("all.zip differs in x") or "x, y" in found[0]


def test_the_sum_stands_for_names_and_bytes():
    sums = {
        reproducing.sum_of_all(found)
        for found in ({"a": b"1"}, {"a": b"2"}, {"b": b"1"}, {"a": b"1", "b": b""})
    }
    assert len(sums) == 4


def test_a_fresh_tree_has_the_sources_and_nothing_that_was_built():
    files = [path.as_posix() for path in reproducing.tree_files(ROOT)]
    assert {"mkdocs.yml", "calc/units.py", "package-lock.json"} <= set(files)
    assert not [name for name in files if name.startswith(("site/", ".handbook/", "node_modules/"))]


def test_the_surroundings_differ_in_everything():
    one, other = reproducing.ONE, reproducing.OTHER
    for name in ("folder", "umask", "age", "backwards"):
        assert getattr(one, name) != getattr(other, name)
    for name in ("TZ", "LC_ALL", "PYTHONHASHSEED"):
        assert one.variables[name] != other.variables[name]


def test_the_time_of_the_last_change_can_be_given(monkeypatch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "86400")
    assert building.source_time() == "86400"


@pytest.mark.site
def test_nothing_tells_where_the_site_was_made():
    strange = [os.fsencode(ROOT), os.fsencode(Path.home()), b"make_snapshot"]
    seen = 0
    for path in SITE.rglob("*"):
        if path.is_file():
            content = path.read_bytes()
            if path.suffix == ".pack":
                content = gzip.decompress(content)
            if path.suffix == ".zip":
                with zipfile.ZipFile(path) as held:
                    content = b"".join(held.read(name) for name in held.namelist())
            seen += len(content)
            assert not [words for words in strange if len(words) > 6 and words in content], path
    assert seen > 30_000_000
