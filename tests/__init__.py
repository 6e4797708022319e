"""Tests; `core` and `bot` mirror the code, `flow` goes from words to calls."""
