"""Reports: tables, CSV, JSON, Markdown and HTML made of the frames."""
