"""Running numbers without gaps: stock numbers, quote numbers."""
