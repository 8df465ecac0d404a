"""What one finished frame tells about itself, with nothing known of how it was made; "cannot tell" is an answer."""
