"""Boards: where the people stand whom a visitor leads, and what trainers want to know of cases and of themselves."""
