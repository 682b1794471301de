"""Finding parts by words: what they are called here and by those who sell them."""
