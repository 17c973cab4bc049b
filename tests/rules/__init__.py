"""Tests of the rules, each on drafts of its own."""
