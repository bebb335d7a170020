"""The commands of a collection: each reads the command line, calls one function and prints."""
