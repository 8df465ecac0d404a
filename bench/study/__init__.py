"""The simulation study of the readiness rule: `make study` writes docs/study-people.md anew."""
