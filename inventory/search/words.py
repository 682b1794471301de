"""What is searched of a part and of the articles that are sold for it, and words out of a text."""

from __future__ import annotations

import re

PART_FIELDS = ("name", "code", "gtin", "place", "note")
ARTICLE_FIELDS = ("code", "name", "gtin")
MOST_WORDS = 12
"""As many as anybody types; each is a search of its own."""
WORD = re.compile(r"[^\W_]+")


def words_of(text: str) -> list[str]:
    """Return the words of a text, each once: runs of letters and figures, whatever parts them."""
    return list(dict.fromkeys(WORD.findall(text)))[:MOST_WORDS]
