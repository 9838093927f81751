"""The faces of the runner on the command line."""
