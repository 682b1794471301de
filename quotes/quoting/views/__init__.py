"""Pages about quotes: looking, choosing for findings, lines, issuing."""
