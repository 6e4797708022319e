"""Tests of flow."""
