"""Bikes: one physical machine each, known by frame number and stock number."""
