"""What a finished build writes: one module an output."""
