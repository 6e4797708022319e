"""Front-ends: one Chat each. They do not know each other."""
