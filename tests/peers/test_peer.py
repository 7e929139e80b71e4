"""The comparison itself can fail."""

import math

import pytest

from peer import Service


def service():
    """One that nothing is asked of."""
    return Service("127.0.0.1", 0)


@pytest.mark.parametrize("factor", [1 + 3e-9, 1 - 3e-9, -1.0, 0.0, math.nan, math.inf])
def test_what_differs_by_more_than_its_bound_fails(factor):
    with pytest.raises(AssertionError, match="a/sum"):
        service().compare("a/sum", "a peer", 2.0 * factor, 2.0, 1e-9, {})


def test_what_is_within_its_bound_is_counted():
    account = service()
    account.compare_each("a/sum", "a peer", {"one": 2.0, "two": [1.0, 4.0]}, {"one": 2.0, "two": [1.0, 4.0 + 1e-9]}, 1e-9, {})
    (line,) = account.accounts.values()
    assert line.count == 3 and 2e-10 < line.largest < 3e-10


def test_lists_are_as_long_as_each_other():
    with pytest.raises(AssertionError, match="a/list"):
        service().compare_each("a/list", "a peer", {"all": [1.0]}, {"all": [1.0, 2.0]}, 1.0, {})
