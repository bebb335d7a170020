"""Version of the program, as records state it."""

__version__ = '0.1.0'
