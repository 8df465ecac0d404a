"""The embedded database made safe for several writers and for a loss of power."""
