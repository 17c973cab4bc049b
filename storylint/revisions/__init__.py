"""Revision after revision: the log and the comparison."""
