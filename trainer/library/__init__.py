"""What there is to practise on: recipes, floors, kits and house standards, versioned by content."""
