"""What people decide and enter about each other, appended and never changed: shoots, holds, kits, refreshers."""
