"""Where a file is wrong is said by the names and numbers that a reader finds there."""

import pytest

from calc.files.shapes import Wrong, plainly_named


@pytest.mark.parametrize(
    ("value", "part"),
    [
        ({"a": {"__proto__": 1}}, "a"), ([{"a": 1}, {"no name": 1}], "2"),
        ({"rows": [{}, {}, {"b": {"": 1}}]}, "rows.3.b"),
    ],
)  # fmt: skip
def test_a_strange_name_is_found_by_counting_from_one(value, part):
    with pytest.raises(Wrong) as wrong:
        plainly_named(value, 9)
    assert wrong.value.part == part
    assert "never writes" in wrong.value.want


def test_parts_lie_as_deep_as_allowed_and_no_deeper():
    deep = {"a": [{"b": {}}]}
    plainly_named(deep, 4)
    with pytest.raises(Wrong) as wrong:
        plainly_named(deep, 3)
    assert wrong.value.part == "a.1.b"
    assert "too deep" in wrong.value.want
