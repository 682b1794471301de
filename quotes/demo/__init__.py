"""The demo shop: an invented workshop with bikes at every stage."""
