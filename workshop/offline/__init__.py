"""Working without a connection: which pages a browser may keep, and what it is told of who it is.

The queue itself runs in the browser: ``workshop/static/js/offline/``.
"""
