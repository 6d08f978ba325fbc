"""The journey of one reading is walked still, and its text is parsed once."""

from __future__ import annotations

import pytest
from benchmark.journey import walked

pytestmark = pytest.mark.trial


def test_a_reading_is_parsed_once() -> None:
    rooms, held, parsed = walked()
    assert parsed == 1
    assert 0 < held < rooms.total()
