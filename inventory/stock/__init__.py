"""Stock: an append-only ledger of what comes and goes, its level, its value and its counts."""
