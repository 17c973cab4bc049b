"""The shape of the house: packages, rules and what may be imported when."""

from __future__ import annotations

import tomllib
from pathlib import Path

from storylint import engine, rule

ROOT = Path(__file__).parent.parent
MOVED = {"storylint.rules": ROOT / "rules"}


def test_every_folder_with_code_is_in_the_list_of_packages() -> None:
    listed = set(tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]["packages"])
    found = {".".join(path.parent.relative_to(ROOT).parts) for path in (ROOT / "storylint").rglob("__init__.py")}
    assert listed == found | set(MOVED)


def test_every_rule_explains_itself() -> None:
    for name, module in rule.rules().items():
        card = module.CARD
        assert card.name == name == module.__name__.rsplit(".", 1)[1]
        assert module.__doc__
        assert len(module.__doc__) > 80
        assert card.summary
        assert card.bad
        assert card.good
        assert card.sources, f"{name} names no source"
        assert (name in engine.WEIGHTS) == bool(card.measured), f"{name}: a scored rule says how, others don't"


def test_no_retired_name_is_used_again() -> None:
    assert not set(rule.RETIRED) & set(rule.rules())
