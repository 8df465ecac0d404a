"""What other rooms' pages show of this one."""
