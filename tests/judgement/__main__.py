"""How well the rules agree with the labelled drafts.

python -m tests.judgement            precision, recall and F1 a rule on both halves, with 95 % intervals
python -m tests.judgement --misses boilerplate
python -m tests.judgement snapshot   write the figures that test_judgement.py holds later changes to
python -m tests.judgement fit        refit the weights on the tuning half
"""

from __future__ import annotations

import sys

from tests.judgement import fit, measure


def main(arguments: list[str]) -> None:
    """Dispatch on the first word."""
    if arguments[:1] == ["fit"]:
        fit.main()
    elif arguments[:1] == ["snapshot"]:
        measure.write_snapshot()
    else:
        measure.show(arguments[1] if arguments[:1] == ["--misses"] else None)


main(sys.argv[1:])
