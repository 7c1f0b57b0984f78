"""Music theory and the neck: pure values and functions, nothing but the standard library."""
