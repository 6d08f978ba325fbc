"""A short mutation trial runs with the tests; the long one is a command (see trial.py)."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import pytest

from headwater.book.records import Book

TRIAL = Path(__file__).with_name("trial.py")


@pytest.mark.trial
def test_nine_in_ten_mutants_are_noticed(book: Book) -> None:
    spec = importlib.util.spec_from_file_location("mutation_trial", TRIAL)
    assert spec is not None
    assert spec.loader is not None
    trial = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = trial
    spec.loader.exec_module(trial)
    noticed, survivors = trial.run(book, 24, seed=7)
    assert noticed >= 0.9 * 24, survivors
