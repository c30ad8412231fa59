"""Reforming: a plan that is checked before anything is energised, and what its curve says."""
