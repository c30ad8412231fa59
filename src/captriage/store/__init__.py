"""The bench book: what was read, kept so that nothing is lost or overwritten."""
