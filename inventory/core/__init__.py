"""Plain typed Python of this layer: data in, data out, no Django."""
