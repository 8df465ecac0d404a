"""Light: the sun, the sky, lamps, and how an exposure is set. One sun for frames and for choosing the hour."""
