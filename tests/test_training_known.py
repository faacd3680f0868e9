"""What a trainee knows of the handles: as last seen or done, and nothing else."""

import pytest

from calc.training import drill


def known(*acts):
    doings = [drill.read({"do": act}, "si") for act in acts]
    return drill.known(drill.play("one-fault", 1, doings).steps)


def test_before_a_look_only_the_tap_is_known():
    seen = known()
    assert seen.pop("hot tap") == "shut"
    assert set(seen.values()) == {""}


def test_a_look_round_shows_every_handle_and_leaves_the_rest_known():
    seen = known("look-round")
    assert seen["vessel valve"] in ("open", "shut")
    assert seen["isolator"] in ("open", "shut")
    assert seen["cold supply"] in ("open", "shut")
    assert seen["pump"] in ("running", "stopped")
    assert seen["boiler"]
    assert known("look-round", "read-gauge") == seen


@pytest.mark.parametrize(
    ("act", "handle", "position"),
    [
        ("shut-fill", "isolator", "shut"),
        ("open-fill", "isolator", "open"),
        ("stop-pump", "pump", "stopped"),
        ("start-pump", "pump", "running"),
        ("shut-cold-supply", "cold supply", "shut"),
        ("lock-out", "boiler", "locked out by hand"),
    ],
)
def test_what_was_done_is_known_until_it_is_done_otherwise(act, handle, position):
    assert known(act)[handle] == position
    assert known(act, "read-gauge")[handle] == position
    assert known(act, "look-round")[handle] == position


def test_what_was_refused_changes_nothing():
    (step,) = drill.play("one-fault", 1, [drill.read({"do": "drain-vessel"}, "si")]).steps
    assert step.verdict == "refused"
    assert known("drain-vessel") == known()
