"""Tests of the page critic."""
