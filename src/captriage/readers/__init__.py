"""Readers: sheets as people and meters write them, to frames in SI units."""
