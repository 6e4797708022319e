"""Values in, values out: what a live-fire cook needs to compute."""
