"""The commands, one a file. They and ``grader.cli`` alone print or exit."""
