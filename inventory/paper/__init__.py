"""Paper: one press for every printed page, what a page may load, and how a PDF is shown."""
