"""Tests of bot."""
