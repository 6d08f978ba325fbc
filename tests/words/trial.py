"""The word trial: what is understood of phrases that people said, beside a plain recogniser.

    python tests/words/trial.py                    all phrase files that lie here
    python tests/words/trial.py FILE ... --missed  some files, and each phrase that went wrong

A phrase file is a list of entries `{said, seat, means, deny, danger, elsewhere}`; an entry of
`means` may be a list of ids of which any one will do. The plain recogniser (TF-IDF over what the
book says of each thing, cosine of each clause) shows what the words alone give away.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

HERE = Path(__file__).resolve()
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parents[2] / "src")]

from headwater.book.load import load_book  # noqa: E402
from words.phrases import read_phrases  # noqa: E402 - the path is set above
from words.recognisers import Ours, Plain  # noqa: E402
from words.score import score, table  # noqa: E402

KNOWLEDGE = HERE.parents[2] / "knowledge"


def main() -> None:
    """Run the trial and print its table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("files", nargs="*", type=Path, metavar="FILE")
    parser.add_argument("--missed", action="store_true", help="list the phrases that went wrong")
    parser.add_argument("--knowledge", type=Path, default=KNOWLEDGE, metavar="FOLDER")
    args = parser.parse_args()
    book = load_book([path.parent for path in sorted(args.knowledge.glob("*/pack.yaml"))])
    phrases = list(read_phrases(args.files))
    scores = {}
    for name, recogniser in (("headwater", Ours(book)), ("plain", Plain(book))):
        began = time.perf_counter()
        scores[name] = score(phrases, recogniser.guess)
        spent = time.perf_counter() - began
        print(f"{name}: {1000 * spent / max(1, len(phrases)):.1f} ms a phrase")
    print("\n".join(table(scores)))
    if args.missed:
        print("\n".join(scores["headwater"]["all"].missed))


if __name__ == "__main__":
    main()
