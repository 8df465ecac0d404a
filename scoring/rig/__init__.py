"""Tripod, rotator, phone and lens as numbers."""
