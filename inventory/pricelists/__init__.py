"""Suppliers' price lists: sent in, read in steps, compared, applied all or nothing."""
