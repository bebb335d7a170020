"""The commands that write reports: each reads files, has a document made of them and writes it."""
