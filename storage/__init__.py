"""What the farm remembers: tables, migrations, and one store for each noun."""
