"""Speed as ratios against a peer in one run; never in a timed test."""
