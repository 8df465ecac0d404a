"""How the site is put together: settings, addresses, headers, and the databases it can stand on."""
