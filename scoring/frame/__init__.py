"""Frames: the capture simulated from its causes, and what is measured in it."""
