"""Numeric core: pure functions on SI arrays; no files, frames, clocks or instruments."""
