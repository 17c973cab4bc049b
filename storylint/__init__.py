"""storylint: a second reader for family-history drafts."""

__version__ = "0.1.0"
