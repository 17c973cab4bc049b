"""Tests of the program against published sources and libraries."""
