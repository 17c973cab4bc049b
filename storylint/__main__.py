"""``python -m storylint``."""

from storylint.cli import entry

entry()
