"""Who is here: persons, firms, teams and the roles they hold."""
