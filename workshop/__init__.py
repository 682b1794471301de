"""The site and the bench: people, bikes, labour, inspections."""
