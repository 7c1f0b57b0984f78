"""Tests written from the product contract alone, without a look at the engine."""
