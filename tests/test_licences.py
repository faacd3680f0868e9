"""The page of licences names what the site carries, and nothing is carried without a name."""

import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "scripts"))

pytestmark = pytest.mark.native


@pytest.fixture
def licences():
    from handbook_tools import licences

    return licences


def test_everything_that_is_packed_has_its_line(licences):
    from handbook_tools import building

    named = set(licences.PYTHON) | set(licences.NPM)
    assert set(building.PACKAGES) <= named
    carried = {
        "/".join(source.split("/")[: 2 if source.startswith("@") else 1])
        for source in building.VENDORED
    }
    assert carried <= named


def test_no_licence_binds_the_readers_own_work(licences):
    # GPL and AGPL parts may serve the tests, and never go out with the site.
    found = licences.parts(ROOT)
    assert len(found) >= 13
    assert not [part for part in found if "GPL" in part.licence]
    with_text = {part.name for part in found if len(part.text) > 200}
    # Pyodide's package brings no text of its own.
    assert {part.name for part in found} - with_text <= {"pyodide"}


def test_a_package_that_names_no_licence_is_refused(licences):
    with pytest.raises(licences.LicenceProblem, match="names no licence"):
        licences._sound(licences.Part("some", "1.0", "", "nothing"))


def test_texts_of_others_are_shown_as_text(licences, monkeypatch):
    bent = licences.Part("<b>", "1", "MIT", "<i>", "<script>alert(1)</script>")
    monkeypatch.setattr(licences, "parts", lambda root: [bent])
    html = licences.page(ROOT)
    assert "<script>" not in html
    assert "&lt;script&gt;" in html
