"""The command line door: ``main`` (main), one function a command (commands), printing (show, lookup, columns)."""
