"""Pages of comparables: entering, importing, and what a bike should bring."""
