"""Pages of job cards, one module a page; they only translate HTTP."""
