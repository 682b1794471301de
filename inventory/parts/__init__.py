"""Parts: what they cost, what they sell for, their VAT."""
