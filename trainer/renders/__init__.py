"""Results of heavy computing by content address: request, compute, serve."""
