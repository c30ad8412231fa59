"""One function per thing a user can ask for: sheets, the bench, the bench book."""
