"""Doubles of the platforms: real protocols on a loopback port, strict where the platform is."""
