"""Looks at one's own frames: a file is measured in a child process, shown, and kept only when the person asks."""
