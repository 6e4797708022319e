"""Tests of the day."""
