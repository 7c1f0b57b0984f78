"""etudebook: short YAML exercise specs become a printable, graded book of guitar technique etudes."""

__version__ = "0.1.0"
