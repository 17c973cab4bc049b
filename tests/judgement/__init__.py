"""Labelled drafts of our own, and how well the rules agree with them."""
