"""What can be seen from where: plan, sight, cover, links, stands, fewest, invent."""
