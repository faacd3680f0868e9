"""The benchmark's own arithmetic: it has to be able to say that a limit is broken."""

import copy
import itertools
import json
import socket
import urllib.error
import urllib.request

import pytest
from handbook_tools.bench import asked, command, page
from handbook_tools.bench.place import Place

from calc import bridge

pytestmark = pytest.mark.native


def visits(ours, plain):
    def times(value):
        return {"first": [value * 3], "again": [value], "offline": []}

    return {
        "visits": {
            "handbook": {"first": [900.0], "again": [ours], "offline": [ours]},
            "pyodide": times(plain),
            "pyscript": times(plain * 2),
        },
        "alone": {"again": [ours - 10, ours], "offline": [ours + 10]},
        "memory": {"handbook": [200.0, 210.0], "pyodide": [None]},
        "rounds": {"pre-charge": [1.0, 2.0, 3.0]},
        "typed": [10.0, 30.0],
    }


FOUND = {
    "browsers": {
        "chromium": visits(400.0, 4000.0),
        "firefox": visits(900.0, 5500.0),
        "webkitgtk": visits(900.0, 9000.0),
        command.QUARTER: visits(2000.0, 16000.0),
    },
    "engine_ms": {"pre-charge": [1.0, 2.0, 15.0], "vessel-size": [4.0, 5.0, 6.0]},
    "working_ms": {"pre-charge": [2.0, 3.0, 16.0], "vessel-size": [6.0, 7.0, 8.0]},
    "native_ms": {"pre-charge": 0.5, "vessel-size": 1.5},
    "pages_bytes": {"/": 90_000, "/job/": 121_000},
    "precache_bytes": 24_000_000,
    "build_s": {"with a new image": 30, "again": 10},
    "lighthouse": {
        "pages": [
            {
                "address": "/",
                "scores": {
                    "performance": 94,
                    "accessibility": 100,
                    "best-practices": 100,
                    "seo": 100,
                },
                "lcp_ms": 1000,
                "cls": 0.03,
                "tbt_ms": 10,
            }
        ]
    },
}


def table(name, found=FOUND):
    return next(rows for title, _, rows in command.tables(found) if title.startswith(name))


def test_a_broken_limit_is_said_and_a_kept_one_too():
    states = {row[0]: row[-1] for row in table("Budgets")}
    assert states["plain Pyodide over this engine, chromium"] == "kept"
    assert states["plain Pyodide over this engine, webkitgtk"] == "kept"
    broken = {what for what, state in states.items() if state == "BROKEN"}
    assert broken == {
        "heaviest page (/job/), kB gzip",
        "Lighthouse performance, /",
        "Lighthouse layout shift, /",
    }


def test_a_ratio_is_of_the_two_ways_of_one_browser():
    rows = {(row[0], row[1]): row for row in table("From opening")}
    assert rows["firefox", "plain Pyodide"][-1] == f"{5500 / 900:.1f}"
    assert rows["firefox", "plain Pyodide"][4] == "none"
    slow = copy.deepcopy(FOUND)
    slow["browsers"]["firefox"] = visits(900.0, 5000.0)
    states = {row[0]: row[-1] for row in table("Budgets", slow)}
    assert states["plain Pyodide over this engine, firefox"] == "BROKEN"


def test_what_was_not_measured_is_in_no_table():
    assert ["chromium", "pyodide"] not in [row[:2] for row in table("Memory")]
    without = {**FOUND, "lighthouse": None, "browsers": {"firefox": FOUND["browsers"]["firefox"]}}
    assert not [row for row in table("Budgets", without) if "chromium" in row[0]]
    assert table("Lighthouse", without) == []


def test_what_a_whole_run_has_and_this_one_lacks_is_named():
    assert command.not_measured(FOUND) == []
    less = copy.deepcopy(FOUND)
    del less["browsers"][command.QUARTER]
    less["browsers"]["firefox"]["rounds"] = {}
    less["lighthouse"] = None
    assert command.not_measured(less) == [command.QUARTER, "rounds in firefox", "Lighthouse"]


def test_the_share_is_taken_from_the_ordered_values():
    assert command.percentile([5, 1, 4, 2, 3], 0.95) == 5
    assert command.percentile([5, 1, 4, 2, 3], 0.5) == 3


def test_the_page_tells_day_machine_and_tables_and_escapes_them(tmp_path):
    kept = tmp_path / "measured.json"
    kept.write_text(
        json.dumps(
            {
                "when": "2026-01-02",
                "machine": {"processor": "a <b>"},
                "missing": ["firefox <old>"],
                "tables": [["T", ["x", "y"], [["r", "≤ 2"]]], ["empty", ["x"], []]],
            }
        ),
        encoding="utf-8",
    )
    html = page.tables(kept)
    assert "2026-01-02" in html
    assert "a &lt;b&gt;" in html
    assert "Not measured in this run: firefox &lt;old&gt;." in html
    assert "<th scope='row' class=hb-words>r</th><td>≤ 2</td>" in html
    assert "empty" not in html


def free_port():
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]


def test_the_site_is_served_without_a_policy_for_the_peers_until_it_is_stopped(tmp_path):
    (tmp_path / "index.html").write_text("here", encoding="utf-8")
    with Place(tmp_path, free_port()) as place:
        with urllib.request.urlopen(place.base) as answer:
            assert answer.read() == b"here"
            assert "Content-Security-Policy" not in answer.headers
        place.stop()
        with pytest.raises(urllib.error.URLError):
            urllib.request.urlopen(place.base)
        place.start()
        assert urllib.request.urlopen(place.base).status == 200


def test_every_round_asks_another_question_and_gets_another_answer():
    """What is kept from the round before would be told too quickly."""
    for name, turns in asked.requests(3).items():
        inputs = [turn["inputs"] for turn in turns]
        differing = [
            {field for field in now if now[field] != before[field]}
            for before, now in itertools.pairwise(inputs)
        ]
        assert all(len(fields) == 1 for fields in differing), name
        assert len(set.union(*differing)) == 1, name
        answers = [str(bridge.run(name, each)["results"]) for each in inputs]
        assert len(set(answers)) == 4, name
        assert not any(turn["working"] for turn in turns)
