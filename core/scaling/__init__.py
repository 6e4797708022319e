"""Heads to plates to what to buy, mix and carry. Every factor keeps where it came from."""
